"""The Django site: settings, and the addresses gathered from each part. Nothing below imports this."""
