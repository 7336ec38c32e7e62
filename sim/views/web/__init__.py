"""The interactive page: one small page of plain JavaScript for the file that is handed round and for the live view.

`document` puts page and data together, `bodies`, `stages`, `look` and `figures` turn an assessment into that data,
`server` answers a browser on this computer. The page computes nothing but positions: every figure comes from here.
"""
