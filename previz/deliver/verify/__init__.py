"""A real still beside the plan: pictures, pages and the record of the day."""
