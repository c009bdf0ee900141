"""Signatures: the shop's own authority, personal certificates, signing a document and verifying one."""
