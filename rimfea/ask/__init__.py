"""One file a question: compare, worth, sweep, wear, reconcile, choose, design."""
