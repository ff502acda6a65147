//! One grammar for all commands: an option means the same wherever it stands, takes one value, and a slip is refused with
//! the nearest name; what rests on a kit ends as the kit does.

use std::process::{Command, Output};

fn run_with(environment: &[(&str, &str)], arguments: &str) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["-C", "demo"]).args(arguments.split_whitespace()).env("NO_COLOR", "1");
    command.env_remove("KITWRIGHT_ON").envs(environment.iter().copied());
    let Output { status, stdout, stderr } = command.output().expect("run");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (status.code().unwrap_or(-1), text(&stdout), text(&stderr))
}

fn run(arguments: &str) -> (i32, String, String) {
    run_with(&[], arguments)
}

const COMMANDS: [&str; 30] = [
    "machines",
    "jobs",
    "find",
    "part",
    "state",
    "kit",
    "fits",
    "while-in",
    "sheet",
    "draw",
    "order",
    "orders",
    "receive",
    "measure",
    "size",
    "record",
    "start",
    "add",
    "change",
    "remove",
    "rename",
    "undo",
    "check",
    "columns",
    "import",
    "share",
    "guide",
    "completions",
    "man",
    "near",
];

#[test]
fn the_machine_is_an_option_a_word_or_a_default() {
    for (with_option, with_word, by_default) in [
        ("kit cooling-pump --on dinghy", "kit cooling-pump dinghy", "kit cooling-pump"),
        ("jobs --on dinghy", "jobs dinghy", "jobs"),
        ("state --on dinghy", "state dinghy", "state"),
        ("fits TV-1180-03 --on dinghy", "fits TV-1180-03 dinghy", "fits TV-1180-03"),
        ("while-in impeller --on tender", "while-in impeller tender", "while-in impeller"),
    ] {
        let machine = if with_option.ends_with("tender") { "tender" } else { "dinghy" };
        let expected = run(with_option);
        assert_ne!(expected.0, 2, "{with_option}: {}", expected.2);
        assert_eq!(run(with_word), expected, "{with_word}");
        assert_eq!(run_with(&[("KITWRIGHT_ON", machine)], by_default), expected, "{by_default}");
        let (status, _, said) = run(by_default);
        assert!(status == 2 && said.contains("dinghy, tender"), "{by_default}: {said}");
    }
}

#[test]
fn a_word_or_option_goes_before_the_default() {
    let expected = run("kit thermostat --on tender");
    let other = [("KITWRIGHT_ON", "dinghy")];
    assert_eq!(run_with(&other, "kit thermostat tender"), expected);
    assert_eq!(run_with(&other, "kit thermostat --on tender"), expected);
}

#[test]
fn no_option_swallows_the_word_behind_its_value() {
    let expected = run("kit thermostat --on dinghy --renew pump-key --reuse level-washer");
    for order in [
        "kit --renew pump-key thermostat --reuse level-washer --on dinghy",
        "kit --on dinghy --reuse level-washer --renew pump-key thermostat",
    ] {
        assert_eq!(run(order), expected, "{order}");
    }
}

#[test]
fn what_a_command_was_called_before_still_works() {
    for (now, before) in [
        ("while-in impeller --on dinghy", "also impeller --on dinghy"),
        ("columns seats", "tables seats"),
        ("orders --date 2026-11-01", "waiting --date 2026-11-01"),
        ("find --near 24x3 --type o-ring", "near 24x3 --type o-ring"),
        ("jobs --for overheating --on dinghy", "symptom overheating --on dinghy"),
        ("state dinghy", "history dinghy"),
        (
            "kit cooling-pump --on dinghy --option driveshaft-out",
            "kit cooling-pump --on dinghy --with driveshaft-out",
        ),
        ("kit cooling-pump --on tender --force", "kit cooling-pump --on tender --insist"),
    ] {
        let expected = run(now);
        assert_ne!(expected.0, 2, "{now}: {}", expected.2);
        assert_eq!(run(before), expected, "{before}");
    }
    let (_, help, _) = run("--help");
    for hidden in ["also", "way-in", "waiting", "symptom", "tables", "near"] {
        assert!(!help.contains(&format!("\n  {hidden} ")), "{hidden} is in the help");
    }
}

#[test]
fn a_slip_is_refused_with_the_nearest_name() {
    for (slip, meant) in [
        ("kit cooling-pump dingy", "dinghy"),
        ("kit cooling-pump --on dingy", "dinghy"),
        ("kit coling-pump --on dinghy", "cooling-pump"),
        ("kit cooling-pump --on dinghy --optoin driveshaft-out", "--option"),
        ("fits TV-1180-03 dinghy --at pump-housng", "pump-housing"),
        ("find --type gaskit", "gasket"),
        ("find --near 24x3 --type o-rng", "o-ring"),
        ("columns positons", "positions"),
        ("guide tabels", "tables"),
    ] {
        let (status, _, said) = run(slip);
        assert!(status == 2 && said.contains(meant), "{slip}: {status} {said}");
    }
}

#[test]
fn an_option_has_one_meaning_in_every_help() {
    for command in COMMANDS {
        let (status, help, _) = run(&format!("{command} --help"));
        assert_eq!(status, 0, "{command}");
        for (option, value) in [
            ("--on", &["MACHINE", "MODEL"][..]),
            ("--at", &["POSITION"]),
            ("--option", &["OPTION"]),
        ] {
            let named = help.split_whitespace().collect::<Vec<_>>();
            let at = named.windows(2).filter(|pair| pair[0] == option && pair[1].starts_with('<'));
            for pair in at {
                let name = pair[1].trim_matches(['<', '>']);
                assert!(value.contains(&name), "{command}: {option} {name}");
            }
        }
        let options = help.lines().filter(|line| line.trim_start().starts_with('-'));
        let mut swallowing = options.filter(|line| line.contains(">..."));
        assert_eq!(swallowing.next(), None, "{command}: a list option takes one value");
    }
}

#[test]
fn what_rests_on_a_kit_ends_as_the_kit_does() {
    let folder = tempfile::tempdir().expect("a folder");
    for job in ["cooling-pump", "thermostat", "impeller", "gearcase-seals", "annual-service"] {
        let asked = format!("{job} --on dinghy");
        let (kit, _, said) = run(&format!("kit {asked}"));
        assert!([0, 3].contains(&kit), "{job}: {said}");
        let svg = folder.path().join("way.svg");
        let html = folder.path().join("sheet.html");
        for other in [
            format!("kit {asked} --full"),
            format!("kit {asked} --json"),
            format!("kit {asked} --csv"),
            format!("while-in {asked}"),
            format!("draw {asked} --output {}", svg.display()),
            format!("sheet {asked} --output {}", html.display()),
        ] {
            assert_eq!(run(&other).0, kit, "{other}");
        }
    }
}
