"""From a scenario to bodies: parts, places, tools, jaws from files, and what cannot be built."""
