"""Several units as one kit, over an MQTT broker: what each publishes, and what it hears."""
