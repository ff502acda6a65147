//! The program run on a copy of the demo, and what the tables hold before and after.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A copy of the demo's tables, without what the program may have compiled beside them.
pub fn demo() -> tempfile::TempDir {
    demo_of(|_| true)
}

/// A copy of those files of the demo that are wanted.
pub fn demo_of(is_wanted: impl Fn(&str) -> bool) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    put_demo_into(folder.path(), is_wanted);
    folder
}

/// Puts those files of the demo that are wanted into a folder, which is made if need be.
pub fn put_demo_into(folder: &Path, is_wanted: impl Fn(&str) -> bool) {
    fs::create_dir_all(folder).expect("made");
    for file in fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/demo")).expect("the demo") {
        let file = file.expect("a file");
        let name = file.file_name().to_string_lossy().into_owned();
        if file.path().is_file() && is_wanted(&name) {
            fs::copy(file.path(), folder.join(name)).expect("copied");
        }
    }
}

/// Runs the program; gives its exit status and all that it printed.
pub fn run(root: &Path, arguments: &[&str]) -> (i32, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.arg("-C").arg(root).args(arguments).stdin(Stdio::null()).env("NO_COLOR", "1");
    let Output { status, stdout, stderr } = command.output().expect("run");
    let text = String::from_utf8_lossy(&stdout).into_owned() + &String::from_utf8_lossy(&stderr);
    (status.code().unwrap_or(-1), text)
}

/// Every table and its bytes.
pub fn tables(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let files = fs::read_dir(root).expect("the folder").map(|file| file.expect("a file"));
    let tables = files.filter(|file| file.path().extension().is_some_and(|end| end == "csv"));
    tables
        .map(|file| {
            (file.file_name().to_string_lossy().into_owned(), fs::read(file.path()).expect("read"))
        })
        .collect()
}
