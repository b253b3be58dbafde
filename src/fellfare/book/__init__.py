"""Everything a person keeps: documents with revisions, accounts, import and export."""
