//! Takes a posed mesh and layer heights. Gives one clean polygon set per layer.
