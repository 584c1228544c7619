"""What happened: events, stocks, lots, learned yields, fingerprints."""
