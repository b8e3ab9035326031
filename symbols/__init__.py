"""What equipment looks like: one TOML file a symbol, in families; `symbols.catalogue` finds and draws them."""
