"""Ask the fastener desk: over HTTP (`bucktail.api`), in-process (`bucktail.embedded`) or by the command `bucktail`."""
