"""Routes translate between HTTP and functions; they hold no rules and no queries of their own."""
