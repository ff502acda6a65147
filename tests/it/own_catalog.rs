//! Follows README.md literally, from an empty folder to the first complete kit, and compares what it prints.

#![cfg(unix)]

use std::path::Path;
use std::process::Command;

const README: &str = include_str!("../../README.md");

/// The commands of the section with what they print. The commands change files, so they run one after the other in a
/// folder of their own.
fn transcript() -> Vec<(String, String)> {
    let section = README
        .split("\n## ")
        .find(|section| section.starts_with("Your own catalog"))
        .expect("the section");
    let mut steps: Vec<(String, String)> = Vec::new();
    for block in section.split("```console,ignore\n").skip(1) {
        let block = block.split("\n```").next().unwrap_or_default();
        for line in block.lines() {
            match line.strip_prefix("$ ") {
                Some(command) => steps.push((command.to_owned(), String::new())),
                None => {
                    let (_, printed) = steps.last_mut().expect("a command comes first");
                    printed.push_str(line);
                    printed.push('\n');
                }
            }
        }
    }
    steps
}

fn run(command: &str, folder: &Path) -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_kitwright"));
    let path = format!(
        "{}:{}",
        program.parent().expect("a folder").display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let output = Command::new("sh")
        .args(["-c", &format!("{command} 2>&1")])
        .current_dir(folder)
        .env("PATH", path)
        .env("NO_COLOR", "1")
        .env_remove("KITWRIGHT_CATALOG")
        .stdin(std::process::Stdio::null())
        .output()
        .expect("a shell");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn the_readme_leads_from_an_empty_folder_to_a_complete_kit() {
    let home = tempfile::tempdir().expect("a folder");
    let mut folder = home.path().to_owned();
    let steps = transcript();
    assert!(steps.len() >= 6, "{} commands", steps.len());
    let mut printed_last = String::new();
    for (command, expected) in &steps {
        if let Some(into) = command.strip_prefix("cd ") {
            folder = folder.join(into);
            continue;
        }
        printed_last = run(command, &folder);
        if std::env::var_os("SHOW").is_some() {
            println!("$ {command}\n{printed_last}");
        } else {
            assert_eq!(printed_last.trim_end(), expected.trim_end(), "{command}");
        }
    }
    assert!(printed_last.contains("complete for what the tables say"), "{printed_last}");
    assert!(!printed_last.contains("NOT complete"), "{printed_last}");
}
