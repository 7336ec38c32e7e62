"""From what a setter knows to a scenario that runs: what is typical of the chuck's class, what is taken and why."""
