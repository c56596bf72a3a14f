"""Drawing: small parts of which a chart is put together as SVG. Knows shapes and text, not what they mean."""
