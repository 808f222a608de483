"""The plan on paper: what to have ready, removal, service, refit, hang tags."""
