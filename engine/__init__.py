"""Pure computation: values in, values out. No Django, no clock, no global randomness."""
