//! Follows README.md literally, from an empty folder to the first complete kit, and compares what it prints.

#![cfg(unix)]

use std::path::Path;
use std::process::Command;

const README: &str = include_str!("../../README.md");

/// The commands of a section, each with what it prints where the text shows it. They change files, so they run one after
/// the other in a folder of their own.
fn steps_of(heading: &str) -> Vec<(String, Option<String>)> {
    let section = README.split("\n## ").find(|section| section.starts_with(heading));
    let section = section.expect("the section");
    let mut steps: Vec<(String, Option<String>)> = Vec::new();
    for (index, block) in section.split("```").enumerate().filter(|(index, _)| index % 2 == 1) {
        let (kind, lines) = block.split_once('\n').unwrap_or_else(|| panic!("block {index}"));
        for line in lines.lines() {
            if kind == "sh" {
                let line = line.split("  #").next().unwrap_or_default();
                steps.extend(line.split(" && ").map(|one| (one.trim().to_owned(), None)));
            } else if let Some(command) = line.strip_prefix("$ ") {
                steps.push((command.to_owned(), Some(String::new())));
            } else {
                let printed = steps.last_mut().and_then(|(_, printed)| printed.as_mut());
                let printed = printed.expect("a command comes first");
                printed.push_str(line);
                printed.push('\n');
            }
        }
    }
    steps
}

/// Runs the steps from a folder, and gives what the last one printed.
fn follow(steps: &[(String, Option<String>)], home: &Path) -> String {
    let mut folder = home.to_owned();
    let mut printed = String::new();
    for (command, expected) in steps {
        if let Some(into) = command.strip_prefix("cd ") {
            folder = folder.join(into);
            continue;
        }
        printed = run(command, &folder);
        match expected {
            Some(_) if std::env::var_os("SHOW").is_some() => println!("$ {command}\n{printed}"),
            Some(expected) => assert_eq!(printed.trim_end(), expected.trim_end(), "{command}"),
            None => assert!(!printed.contains("error:"), "{command}: {printed}"),
        }
    }
    printed
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
    let steps = steps_of("I have only the machine");
    assert!(steps.len() >= 6, "{} commands", steps.len());
    let printed = follow(&steps, home.path());
    assert!(printed.contains("bowl-leak on mower: complete\n"), "{printed}");
}

#[test]
fn the_readme_takes_a_spreadsheet_in() {
    let home = tempfile::tempdir().expect("a folder");
    std::fs::write(home.path().join("parts.csv"), "Part no,Type,Name\nA-1,gasket,Cover gasket\n")
        .expect("a list");
    std::fs::write(home.path().join("places.csv"), "position,part,joint\ncover,A-1,cover\n")
        .expect("a list");
    let steps = steps_of("I have a spreadsheet");
    assert!(steps.len() >= 5, "{} commands", steps.len());
    follow(&steps, home.path());
    let positions = std::fs::read_to_string(home.path().join("outboard/positions.csv"));
    assert!(positions.expect("the table").contains("A-1"));
}
