//! (module strips)
