//! (module plan)
