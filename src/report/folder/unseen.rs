//! Files that nobody sees before they are whole.

use std::path::Path;

/// How the name of such a file begins.
const PREFIX: &str = ".writing-";

/// Whether a file of this name was being written by a run that was killed.
pub(super) fn is_unseen(name: &str) -> bool {
    name.starts_with(PREFIX)
}

/// A file nobody sees yet. The library's own default is readable by its owner alone,
/// which would make results private by surprise; the user's mask decides instead.
pub(super) fn temporary(parent: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(parent)
}
