"""Orders, revisions, proofs and approvals in a database."""
