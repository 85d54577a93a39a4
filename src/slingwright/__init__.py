"""slingwright: an engineering notebook kit for counterweight throwing machines."""
