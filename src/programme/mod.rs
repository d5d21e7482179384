//! (module programme)
