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
            .and_then(|()| tried(dir))
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
        replace(&self.0.join(name), text)
    }
}

/// A single file that can be written.
pub struct OutFile(PathBuf);

impl OutFile {
    /// Tries that the file named by an option can be written, likewise before a search.
    pub fn ready(option: &str, file: &Path) -> Result<OutFile, String> {
        let tried = match file.is_dir() {
            true => Err(io::Error::other("it is a directory")),
            false => tried(beside(file)),
        };
        tried.map_err(|error| {
            format!(
                "error: {option} {}: cannot be written: {error}\n  \
                 help: name a file in a directory that you may write to",
                file.display()
            )
        })?;
        Ok(OutFile(file.to_path_buf()))
    }

    /// Replaces it as a whole.
    pub fn replace(&self, text: &str) -> Result<(), String> {
        replace(&self.0, text)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

fn tried(dir: &Path) -> io::Result<()> {
    NamedTempFile::new_in(dir).map(drop)
}

/// The directory of a file.
fn beside(file: &Path) -> &Path {
    match file.parent() {
        Some(dir) if !dir.as_os_str().is_empty() => dir,
        _ => Path::new("."),
    }
}

fn replace(path: &Path, text: &str) -> Result<(), String> {
    let write = || -> io::Result<()> {
        let mut file = NamedTempFile::new_in(beside(path))?;
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
