"""Who signs in: accounts, invitations, passwords."""
