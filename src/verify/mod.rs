//! (module verify)
