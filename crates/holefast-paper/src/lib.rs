//! Papers: the drawing as SVG, the shop book as PDF; computes no geometry.
