"""Many thousand variants over many scenarios: numbered, judged in blocks by many processes, kept as Parquet.

``quantities`` reads what varies, ``plan`` numbers the variants and cuts them into blocks, ``judging`` judges a block in
any process, ``running`` keeps processes or a cluster busy, ``folder`` keeps what is finished, ``summary`` adds it up.
"""
