//! Writes files of the index without waiting for the disk.
//!
//! A power cut may lose what was written last. All that is read is held to sums and states, so that such a loss costs a
//! rebuild, and to wait for the disk at each file would cost every edit more than the compiling of it.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::Path;
use tantivy::directory::{AntiCallToken, TerminatingWrite, WritePtr};

/// Writes a file whole or not at all: it is never seen half written, as long as the power stays on.
pub(super) fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut new = tempfile::Builder::new().prefix(".new-").tempfile_in(folder)?;
    new.write_all(bytes)?;
    new.persist(path).map_err(|error| error.error)?;
    Ok(())
}

struct Unawaited(File);

impl Write for Unawaited {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl TerminatingWrite for Unawaited {
    fn terminate_ref(&mut self, _: AntiCallToken) -> io::Result<()> {
        self.0.flush()
    }
}

/// Makes a new file that is filled piece by piece.
pub(super) fn begin(path: &Path) -> io::Result<WritePtr> {
    let file = fs::OpenOptions::new().write(true).create_new(true).open(path)?;
    Ok(BufWriter::with_capacity(64 << 10, Box::new(Unawaited(file))))
}
