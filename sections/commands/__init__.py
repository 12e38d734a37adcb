"""What each command does, without a terminal: settings in, count of findings out. One file a command.

given : what the command line gives beside the file: values of dimensions, a name, files that may lie elsewhere.

The settings are judged before anything heavy is imported, so that a mistake in the file is reported at once.
"""
