"""The commands behind the command line: files read, stages called, files written, the result said."""
