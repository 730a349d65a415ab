"""What came of shipped eggs, as the customer says; closed and set aside by the owner."""
