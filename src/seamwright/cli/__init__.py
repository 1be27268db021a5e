"""The command line: a thin face over the library. Arguments in, core calls, tables out."""
