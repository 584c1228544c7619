"""The file format, byte by byte; knows no table of ours."""
