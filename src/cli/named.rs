//! Files that a plan names. A name is kept as it was given on the command line, so it may have to be looked for
//! when the plan is read from another directory.

use std::path::{Path, PathBuf};

/// The files that a plan may mean by a name, the likeliest first: from here, from the directories that the plan
/// lies in, the innermost first, or beside the plan whatever directory was named.
pub fn meant(plan: &Path, named: &str) -> Vec<PathBuf> {
    let named = Path::new(named);
    let plan = plan.canonicalize().unwrap_or_else(|_| plan.to_path_buf());
    let above = plan.ancestors().skip(1).map(|dir| dir.join(named));
    let near = named.file_name().map(|name| plan.with_file_name(name));
    std::iter::once(named.to_path_buf())
        .chain(above)
        .chain(near)
        .filter(|file| file.is_file())
        .collect()
}
