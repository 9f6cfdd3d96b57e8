"""The questions, one module each: how its payload is read, who answers, which columns its CSV has."""
