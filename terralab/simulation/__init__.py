"""One run or many: a job in, a record out, and the audit of what was recorded."""
