"""The bench page: a record filled in beside the pack, on this machine, each entry judged at once."""
