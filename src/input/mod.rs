//! (module input)
