//! Output files replaced as a whole or not at all; standard output that may close early.

use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A directory that files can be written into.
pub struct OutDir(PathBuf);

impl OutDir {
    /// Makes the directory if need be, and tries that it can be written to, so that a long search
    /// is not in vain.
    pub fn ready(dir: &Path) -> Result<OutDir, String> {
        std::fs::create_dir_all(dir)
            .and_then(|()| NamedTempFile::new_in(dir))
            .map_err(|error| {
                format!(
                    "error: --out {}: cannot be written to: {error}\n  \
                     help: name a directory that you may write to",
                    dir.display()
                )
            })?;
        Ok(OutDir(dir.to_path_buf()))
    }

    /// Replaces a file. Whoever reads it meanwhile sees the old one or the new one, never a part.
    pub fn replace(&self, name: &str, text: &str) -> Result<(), String> {
        replace_file(&self.0.join(name), text)
    }
}

/// The directory that a file lies in.
fn directory(path: &Path) -> &Path {
    match path.parent() {
        Some(dir) if !dir.as_os_str().is_empty() => dir,
        _ => Path::new("."),
    }
}

/// Tries that a file can be replaced, so that a long search is not in vain.
pub fn can_replace(path: &Path) -> Result<(), String> {
    match NamedTempFile::new_in(directory(path)) {
        Ok(_) => Ok(()),
        Err(error) => Err(unusable(path, &format!("cannot be written: {error}"))),
    }
}

/// Replaces a single file, likewise.
pub fn replace_file(path: &Path, text: &str) -> Result<(), String> {
    let write = || -> io::Result<()> {
        let mut file = NamedTempFile::new_in(directory(path))?;
        file.write_all(text.as_bytes())?;
        share(&file)?;
        file.persist(path)?;
        Ok(())
    };
    write().map_err(|error| format!("error: {}: cannot be written: {error}", path.display()))
}

/// Temporary files are private to the user; results are not.
#[cfg(unix)]
fn share(file: &NamedTempFile) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    /// Read by all, written by the owner.
    const MODE: u32 = 0o644;
    file.as_file()
        .set_permissions(std::fs::Permissions::from_mode(MODE))
}

#[cfg(not(unix))]
fn share(_: &NamedTempFile) -> io::Result<()> {
    Ok(())
}

/// Reads a plain file of at most so many bytes.
pub fn read_text(path: &Path, most: u64) -> Result<String, String> {
    let fault = |what: String| unusable(path, &what);
    let meta = std::fs::metadata(path).map_err(|e| fault(format!("cannot be read: {e}")))?;
    if !meta.is_file() {
        return Err(fault("is not a plain file".into()));
    }
    if meta.len() > most {
        return Err(fault(format!("is larger than {most} bytes")));
    }
    std::fs::read_to_string(path).map_err(|e| fault(format!("cannot be read: {e}")))
}

/// What is wrong with a file that was to be read.
pub fn unusable(path: &Path, what: &str) -> String {
    format!("error: {}: {what}", path.display())
}

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
