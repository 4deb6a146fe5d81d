"""Where the record of a plan lies: known without its schema, which is slow to load."""

RECORD_FILE = "record.json"
