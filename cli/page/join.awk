# Modules as one script: imports go, exports become plain declarations. An import stands on one line.
/^import / { next }
{ sub(/^export /, ""); print }
