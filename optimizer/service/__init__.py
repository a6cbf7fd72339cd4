"""The service: sites, runs and designs over HTTP, and the page. Sits on top; everything it computes is the command's own work."""
