//! (module render)
