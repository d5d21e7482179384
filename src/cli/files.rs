//! Output files replaced as a whole or not at all; standard output that may close early.

use std::io::{self, ErrorKind, Write};

/// Writes to standard output. A reader that has seen enough is no error.
pub fn to_stdout(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<(), String> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    match write(&mut out).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(format!("error: standard output cannot be written: {error}"))
        }
        _ => Ok(()),
    }
}
