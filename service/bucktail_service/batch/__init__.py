"""Many questions in one file: one result per row, in order, each an answer or a problem."""
