//! (module rules)
