//! From a sowing and its surroundings to dates and yields.
