//! Gives the built program tables and arguments that are wrong, and holds it to what a person needs then: it does not
//! fall over, it ends with the right status, it names the file, the line, the column and the cell (or the argument),
//! it says what to do, and it still reports everything else.
//!
//! Every model, machine, part, supplier and job in here is invented.

use std::ffi::OsStr;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long an answer may take before it is called none: far more than any of these needs on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// How long an answer about a very large or very tangled catalog may take, in a build that is hardly optimized.
const SECONDS: Duration = Duration::from_secs(20);

/// A catalog that is sound, in a folder of its own: the cover of a small pump comes off to renew its impeller.
struct Catalog(TempDir);

const SOUND: &[(&str, &str)] = &[
    ("models.csv", "model,name\nQ9,Quill 9\nQ12,Quill 12\n"),
    (
        "machines.csv",
        "machine,model,year,serial,traits\nskiff,Q9,1999,B1500,EU\nbarge,Q12,2004,C100,EU\n",
    ),
    (
        "parts.csv",
        "part,type,name,unit\nP-10,impeller,Impeller,\nG-20,gasket,Cover gasket,\nS-30,bolt,Cover bolt,\nK-50,,Pump set,\n",
    ),
    (
        "positions.csv",
        "position,part,quantity,joint,reached_by\nimpeller,P-10,1,,cover-off\ncover-gasket,G-20,1,cover,\ncover-bolt,S-30,4,cover,\n",
    ),
    ("operations.csv", "operation,needs,opens,removes\ncover-off,,cover,cover-bolt\n"),
    ("jobs.csv", "job,name,model\npump,Renew the impeller,\ngearbox,Renew the shaft,Q12\n"),
    ("job_lines.csv", "job,position\npump,impeller\ngearbox,impeller\n"),
];

impl Catalog {
    fn sound() -> Catalog {
        let catalog = Catalog::empty();
        for (file, text) in SOUND {
            catalog.write(file, text);
        }
        catalog
    }

    fn empty() -> Catalog {
        Catalog(tempfile::tempdir().expect("a temporary folder"))
    }

    /// A sound catalog with one file put in place of its own, or added.
    fn with(file: &str, text: impl AsRef<[u8]>) -> Catalog {
        let catalog = Catalog::sound();
        catalog.write(file, text);
        catalog
    }

    fn path(&self, file: &str) -> PathBuf {
        self.0.path().join(file)
    }

    fn write(&self, file: &str, text: impl AsRef<[u8]>) {
        let path = self.path(file);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder for the file");
        fs::write(path, text).expect("a table file");
    }

    /// Adds rows below those that a file has.
    fn add(&self, file: &str, rows: &str) {
        let mut text = fs::read_to_string(self.path(file)).expect("a table file");
        text.push_str(rows);
        self.write(file, text);
    }

    fn ask<S: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = S>) -> Answer {
        let mut command = program();
        command.arg("--catalog").arg(self.0.path()).args(arguments);
        answer_of(command)
    }

    fn kit(&self) -> Answer {
        self.ask(["kit", "pump", "--on", "skiff"])
    }
}

/// The program, with nothing of this machine's environment, in a folder that is no catalog.
fn program() -> Command {
    clean(Command::new(env!("CARGO_BIN_EXE_kitwright")))
}

fn clean(mut command: Command) -> Command {
    for name in ["KITWRIGHT_CATALOG", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "RUST_BACKTRACE"] {
        command.env_remove(name);
    }
    command.current_dir("/").stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// What the program said, and how it ended.
struct Answer {
    status: i32,
    out: String,
    err: String,
    took: Duration,
}

/// Runs the program to its end and holds it to what every answer must be: no panic, no quarrel with itself, no signal.
fn answer_of(mut command: Command) -> Answer {
    let begun = Instant::now();
    let (status, out, err) = finish(start(&mut command));
    let (out, err) =
        (String::from_utf8_lossy(&out).into_owned(), String::from_utf8_lossy(&err).into_owned());
    let said: String = err.chars().take(2000).collect();
    let status = status.unwrap_or_else(|| panic!("it was ended by a signal: {said}"));
    for word in ["panicked", "overflowed its stack", "internal error"] {
        assert!(!err.contains(word), "{said}");
    }
    assert!((0..=3).contains(&status), "exit status {status}: {said}");
    assert!(status != 2 || !err.trim().is_empty(), "a refusal without a reason");
    Answer { status, out, err, took: begun.elapsed() }
}

/// Starts a program. One that was just copied may be called busy for as long as another test, which began a child of
/// its own in that moment, holds it open.
fn start(command: &mut Command) -> Child {
    let begun = Instant::now();
    loop {
        match command.spawn() {
            Err(error)
                if error.kind() == io::ErrorKind::ExecutableFileBusy
                    && begun.elapsed() < PATIENCE =>
            {
                thread::sleep(Duration::from_millis(20));
            }
            child => return child.expect("the program starts"),
        }
    }
}

/// Waits for a child, but not for ever; gives its exit status and what it printed.
fn finish(mut child: Child) -> (Option<i32>, Vec<u8>, Vec<u8>) {
    let (out, err) = (child.stdout.take().map(collect), child.stderr.take().map(collect));
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("a child") {
            break status;
        }
        if begun.elapsed() > PATIENCE {
            child.kill().expect("a child that can be ended");
            child.wait().expect("a child");
            panic!("no answer within {PATIENCE:?}");
        }
        thread::sleep(Duration::from_millis(2));
    };
    let read = |stream: Option<mpsc::Receiver<Vec<u8>>>| {
        stream.and_then(|bytes| bytes.recv().ok()).unwrap_or_default()
    };
    (status.code(), read(out), read(err))
}

/// Reads a stream to its end beside the main thread, so that a long answer does not block the program.
fn collect(mut stream: impl Read + Send + 'static) -> mpsc::Receiver<Vec<u8>> {
    let (sender, receiver) = mpsc::channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        // What was read before an error is what there is.
        let _ = stream.read_to_end(&mut bytes);
        let _ = sender.send(bytes);
    });
    receiver
}

/// The pieces follow each other in a text.
fn in_order(text: &str, pieces: &[&str]) -> bool {
    let mut rest = text;
    pieces.iter().all(|piece| match rest.split_once(piece) {
        Some((_, behind)) => {
            rest = behind;
            true
        }
        None => false,
    })
}

impl Answer {
    #[track_caller]
    fn ends(&self, status: i32) -> &Self {
        assert_eq!(self.status, status, "\n{}\n{}", self.out, self.err);
        self
    }

    /// One line on standard error holds all the pieces, in this order.
    #[track_caller]
    fn tells(&self, pieces: &[&str]) -> &Self {
        let start: String = self.err.chars().take(4000).collect();
        assert!(
            self.err.lines().any(|line| in_order(line, pieces)),
            "no line tells {pieces:?} in:\n{start}"
        );
        self
    }

    /// One line of a check's answer holds all the pieces, in this order.
    #[track_caller]
    fn lists(&self, pieces: &[&str]) -> &Self {
        assert!(self.out.lines().any(|line| in_order(line, pieces)), "{pieces:?}: {}", self.out);
        self
    }

    #[track_caller]
    fn tells_nothing_of(&self, piece: &str) -> &Self {
        assert!(!self.err.contains(piece), "{piece} is told of in:\n{}", self.err);
        self
    }

    #[track_caller]
    fn prints(&self, piece: &str) -> &Self {
        assert!(self.out.contains(piece), "{piece} is not printed in:\n{}\n{}", self.out, self.err);
        self
    }

    /// It was refused, and nothing was printed that could be taken for an answer.
    #[track_caller]
    fn refuses(&self) -> &Self {
        self.ends(2);
        assert_eq!(self.out, "", "a refusal prints no answer");
        self
    }

    /// It was done without a word on standard error.
    #[track_caller]
    fn is_content(&self) -> &Self {
        self.ends(0);
        assert_eq!(self.err, "");
        self
    }

    #[track_caller]
    fn in_seconds(&self) -> &Self {
        assert!(self.took < SECONDS, "it took {:?}", self.took);
        self
    }

    #[track_caller]
    fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|error| panic!("{error}: {}\n{}", self.out, self.err))
    }

    /// The kinds and subjects of a kit's gaps.
    #[track_caller]
    fn gaps(&self) -> Vec<(String, String)> {
        let text = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
        let kit = self.json();
        let gaps = kit["gaps"].as_array().expect("a kit has gaps, if only none");
        gaps.iter().map(|gap| (text(&gap["kind"]), text(&gap["subject"]))).collect()
    }
}

/// Checks a catalog in which one file is wrong and, besides, another one holds one wrong cell: whatever is wrong with the
/// first, the second must be told of in the same run, and neither keeps the catalog closed. Gives the errors as lines.
#[track_caller]
fn with_wrong(file: &str, text: impl AsRef<[u8]>) -> Answer {
    let catalog = Catalog::with(file, text);
    catalog.write("suppliers.csv", "supplier,days\npell,soon\n");
    catalog.ask(["part", "S-30"]).tells(&["note: ", "cannot be read", "kitwright check"]);
    let check = catalog.ask(["check", "--json"]);
    check.ends(2);
    let errors = check.json()["errors"].as_array().expect("errors").clone();
    let line = |error: &serde_json::Value| {
        let text = |key: &str| error[key].as_str().unwrap_or_default().to_owned();
        let line = error["line"].as_u64().filter(|line| *line > 0);
        let line = line.map_or_else(String::new, |line| format!(":{line}"));
        let column = Some(text("column")).filter(|column| !column.is_empty());
        let column = column.map_or_else(String::new, |column| format!(", column {column}"));
        format!("error: {}{line}{column}: {}\n", text("file"), text("message"))
    };
    let answer = Answer { err: errors.iter().map(line).collect(), out: String::new(), ..check };
    answer.tells(&["error: suppliers.csv:2, column days: `soon`", "plain number"]);
    answer
}

fn has_one(text: &str, piece: &str) -> bool {
    text.matches(piece).count() == 1
}

#[test]
fn the_catalog_that_all_others_here_are_made_from_is_sound() {
    let answer = Catalog::sound().kit();
    answer.is_content().prints("pump on skiff: complete").prints("G-20");
    Catalog::sound().ask(["part", "P-10"]).is_content();
    Catalog::sound().ask(["fits", "P-10", "skiff"]).is_content();
}

// Cells that cannot be read.

#[test]
fn a_cell_that_is_not_utf8_is_shown_and_the_rows_around_it_are_read() {
    let answer = with_wrong(
        "stock.csv",
        b"part,quantity,bin\nP-10,none,\nG-20,1,Stra\xDFe\nS-30,-4,T\xC3\xBCr\n",
    );
    answer
        .tells(&["error: stock.csv:2, column quantity: `none`", "type a plain number"])
        .tells(&[
            "error: stock.csv:3, column bin:",
            "`Stra\u{FFFD}e` is not UTF-8",
            "save the file as CSV in UTF-8",
        ])
        .tells(&["error: stock.csv:4, column quantity: `-4`"]);
}

#[test]
fn bytes_that_are_not_utf8_in_a_remark_spoil_nothing() {
    let mixed = b"# Stra\xDFe T\xC3\xBCr\npart,quantity\nP-10,1\n";
    Catalog::with("stock.csv", mixed).kit().is_content();
}

#[test]
fn a_file_in_another_encoding_is_read_and_said() {
    let text = "part,quantity,bin\nP-10,3,Stra\u{DF}e\n";
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let western: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    for (bytes, encoding) in [
        ([b"\xFF\xFE", little.as_slice()].concat(), "UTF-16LE"),
        ([b"\xFE\xFF", big.as_slice()].concat(), "UTF-16BE"),
        (little, "UTF-16LE"),
        (big, "UTF-16BE"),
        (western, "windows-1252"),
    ] {
        let catalog = Catalog::with("stock.csv", &bytes);
        for index in ["always", "never"] {
            let answer = catalog.ask(["part", "P-10", "--index", index]);
            answer.ends(0).prints("Stra\u{DF}e").tells(&["note: stock.csv: ", encoding]);
        }
        catalog.ask(["check"]).prints(encoding);
        assert_eq!(fs::read(catalog.path("stock.csv")).unwrap(), bytes, "nothing was written");
    }
}

#[test]
fn a_quotation_mark_that_is_never_closed_spoils_its_own_line_only() {
    let answer = with_wrong("stock.csv", "part,quantity,bin\nP-10,1,\"shelf\nG-20,none,\n");
    answer
        .tells(&["error: stock.csv:2, column bin:", "never closed", "close it"])
        .tells(&["error: stock.csv:3, column quantity: `none`"]);
}

#[test]
fn text_behind_a_closing_quotation_mark_is_pointed_out() {
    let answer = with_wrong("stock.csv", "part,quantity,bin\nP-10,1,\"top\" shelf\nG-20,none,\n");
    answer
        .tells(&[
            "error: stock.csv:2, column bin:",
            "behind a closing quotation mark",
            "double the marks",
        ])
        .tells(&["error: stock.csv:3, column quantity: `none`"]);
}

#[test]
fn a_quotation_mark_left_open_in_the_header_line_is_pointed_out() {
    with_wrong("stock.csv", "part,\"quantity\nP-10,1\n").tells(&[
        "error: stock.csv:1",
        "header line",
        "close it",
    ]);
}

#[test]
fn a_quotation_mark_inside_a_cell_is_only_a_sign_for_inches() {
    Catalog::with(
        "parts.csv",
        "part,size,name\nP-10,7/64\",\"a \"\"good\"\" one\"\nG-20,,\nS-30,,\n",
    )
    .ask(["part", "P-10"])
    .is_content()
    .prints("7/64\"")
    .prints("a \"good\" one");
}

#[test]
fn many_lines_of_lone_quotation_marks_are_told_of() {
    let text = format!("part,quantity\n{}", "a\",\"\n\"b\" c,\"d\n\"\n".repeat(2000));
    let answer = with_wrong("stock.csv", text);
    answer.in_seconds().tells(&["error: stock.csv:2", "quotation mark"]);
}

/// An open mark must not make every line behind it be read again to the end of the file.
#[test]
fn a_hundred_thousand_lines_of_lone_quotation_marks_are_counted_in_seconds() {
    let answer =
        Catalog::with("stock.csv", format!("part,quantity\n{}", "a\",\"\n".repeat(150_000))).kit();
    answer.ends(0).in_seconds().tells(&["note: 150000 rows cannot be read", "kitwright check"]);
}

#[test]
fn a_lone_quotation_mark_is_told_of_at_the_cell_that_opens_it() {
    let text = format!("part,quantity,bin\nP-10,1,\"shelf\n{}", "a\",\"\n".repeat(50));
    let answer = with_wrong("stock.csv", text);
    answer
        .tells(&["error: stock.csv:2, column bin:", "quotation mark"])
        .tells_nothing_of("column 51");
}

#[test]
fn a_cell_of_fifty_megabytes_is_refused_quickly_and_shortly() {
    let huge = "z".repeat(50_000_000);
    for (cell, said) in [
        (huge.clone(), "50000000 bytes"),
        (format!("\"{huge}\""), "50000000 bytes"),
        (format!("\"{huge}"), "never closed"),
    ] {
        let answer =
            with_wrong("stock.csv", format!("part,quantity,bin\nP-10,1,{cell}\nG-20,none,\n"));
        answer
            .in_seconds()
            .tells(&["error: stock.csv:2, column bin:", said])
            .tells(&["error: stock.csv:3, column quantity: `none`"]);
        assert!(answer.err.len() < 1500, "{} bytes of message", answer.err.len());
    }
    let answer = with_wrong("stock.csv", format!("part,quantity\n{huge},1\n"));
    answer.in_seconds().tells(&["error: stock.csv:2, column part:", "`zzz", "…`", "shorten it"]);
    assert!(answer.err.len() < 1500, "{} bytes of message", answer.err.len());
}

#[test]
fn a_wrong_cell_just_short_of_the_longest_is_shown_shortened() {
    let answer = with_wrong("stock.csv", format!("part,quantity\nP-10,{}\n", "9".repeat(1 << 20)));
    answer.in_seconds().tells(&["error: stock.csv:2, column quantity: `999", "…`"]);
    assert!(answer.err.len() < 1500, "{} bytes of message", answer.err.len());
}

#[test]
fn a_header_cell_of_fifty_megabytes_is_told_of_shortly() {
    let text = format!("part,quantity,{}\nP-10,1,\n", "z".repeat(50_000_000));
    let answer = Catalog::with("stock.csv", &text).ask(["check"]);
    answer.in_seconds();
    assert!(
        answer.out.len() + answer.err.len() < 3000,
        "{} bytes of message",
        answer.out.len() + answer.err.len()
    );
    // Twice the same, which is an error.
    let twice = format!("part,quantity,{0},{0}\nP-10,1,,\n", "z".repeat(1_000_000));
    let answer = with_wrong("stock.csv", twice);
    assert!(answer.err.len() < 3000, "{} bytes of message", answer.err.len());
    let answer = with_wrong("stock.csv", "part,quantity,\u{1b}[2J,\u{1b}[2J\nP-10,1,,\n");
    assert!(!answer.err.contains('\u{1b}'), "a control character reaches the terminal");
}

#[test]
fn a_year_with_a_letter_in_it_is_pointed_out() {
    let answer = with_wrong(
        "machines.csv",
        "machine,model,year\nskiff,Q9,20O4\nbarge,Q12,l999\npunt,Q9,99\ndory,Q9,2004-5-6\n",
    );
    answer
        .tells(&[
            "error: machines.csv:2, column year: `20O4`",
            "a letter stands where a digit should",
        ])
        .tells(&[
            "error: machines.csv:3, column year: `l999`",
            "a letter stands where a digit should",
        ])
        .tells(&["error: machines.csv:4, column year: `99`", "four digits"])
        .tells(&["error: machines.csv:5, column year: `2004-5-6`", "four digits"]);
}

#[test]
fn limits_that_are_no_years_or_serials_are_refused_cell_by_cell() {
    let text = "job,years,serials\npump,20O4-,B1-B9\npump,2004-1999,A5-B9\npump,1999--2003,B9-B1\npump,,none\n";
    with_wrong("jobs.csv", text)
        .tells(&["error: jobs.csv:2, column years: `20O4`", "a letter stands"])
        .tells(&["error: jobs.csv:3, column years: `2004-1999`", "1999-2004"])
        .tells(&["error: jobs.csv:4, column years:"])
        .tells(&["error: jobs.csv:4, column serials: `B9-B1`", "lower serial first"])
        .tells(&["error: jobs.csv:5, column serials: `none`", "digit"]);
}

#[test]
fn a_quantity_that_is_none_is_refused_with_what_to_type() {
    let long = "9".repeat(400);
    let wrong =
        ["0", "-1", "1e400", "0.0", &long, "2 firkin", "NaN", "inf", "1/2", "0x10", "1,500", "٣"];
    let mut text = "position,part,quantity\n".to_owned();
    for (index, quantity) in wrong.iter().enumerate() {
        text.push_str(&format!("place-{index},P-10,\"{quantity}\"\n"));
    }
    let answer = with_wrong("positions.csv", text);
    for (index, quantity) in wrong.iter().enumerate() {
        let shown: String = quantity.chars().take(60).collect();
        let place = format!("error: positions.csv:{}, column quantity: `{shown}", index + 2);
        let begins_like_a_unit = ["1e400", "2 firkin", "1/2", "0x10"].contains(quantity);
        let what_to_do = if begins_like_a_unit { "" } else { "type a plain number above zero" };
        answer.tells(&[&place, " is no quantity: ", what_to_do]);
    }
    assert!(answer.err.lines().all(|line| line.len() < 400), "{}", answer.err);
}

#[test]
fn a_quantity_is_told_what_is_wrong_with_it() {
    let text = "position,part,quantity\na,P-10,1e400\nb,P-10,1/2\nc,P-10,1 00\nd,P-10,10000000000\ne,P-10,2 firkin\n";
    let answer = with_wrong("positions.csv", text);
    for (line, quantity) in [(2, "1e400"), (3, "1/2"), (4, "1 00")] {
        let place = format!("error: positions.csv:{line}, column quantity: `{quantity}`");
        answer.tells(&[&place, "type a plain number above zero"]);
    }
    answer
        .tells(&["error: positions.csv:5, column quantity: `10000000000`", "1000000000"])
        .tells(&["error: positions.csv:6, column quantity: `2 firkin`", "use one of each, L"]);
}

#[test]
fn a_shelf_may_hold_nothing_but_not_less() {
    Catalog::with("stock.csv", "part,quantity\nP-10,0\n").kit().is_content();
    with_wrong("stock.csv", "part,quantity\nP-10,-1\nP-10,1e400\n")
        .tells(&["error: stock.csv:2, column quantity: `-1`"])
        .tells(&["error: stock.csv:3, column quantity: `1e400`"]);
}

#[test]
fn money_dates_and_hours_that_are_none_are_refused_with_what_to_type() {
    let long = "8".repeat(400);
    let text = format!(
        "supplier,part,price,as_of\nlow,P-10,three,\nlow,P-10,1e400,\nlow,P-10,-1,\nlow,P-10,{long},\nlow,P-10,1,3/6/2004\n"
    );
    let answer = with_wrong("offers.csv", text);
    for (line, cell) in [(2, "three"), (3, "1e400"), (4, "-1"), (5, "8888")] {
        answer.tells(&[
            &format!("error: offers.csv:{line}, column price: `{cell}"),
            "plain decimal such as 12.50",
        ]);
    }
    answer.tells(&["error: offers.csv:6, column as_of: `3/6/2004`", "such as 2004-06-30"]);
    let text =
        "date,machine,hours\n2004-02-30,skiff,1\nspring,skiff,\n,skiff,-5\n2004,skiff,1e400\n";
    with_wrong("worklog.csv", text)
        .tells(&["error: worklog.csv:2, column date: `2004-02-30`", "a bare year"])
        .tells(&["error: worklog.csv:3, column date: `spring`"])
        .tells(&["error: worklog.csv:4, column hours: `-5`", "zero or more"])
        .tells(&["error: worklog.csv:5, column hours: `1e400`"]);
}

#[test]
fn a_torque_that_is_none_is_refused_with_what_to_type() {
    let cases = [
        ("tight", "N·m"),
        ("20", "say the unit"),
        ("-20 N·m", "more than zero"),
        ("0 N·m", "more than zero"),
        ("+90°", "a moment before it"),
        ("20 N·m 40 N·m", "put a ; between"),
        ("20 N·m; ; +90°", "stage 2"),
        ("1e400 N·m", ""),
        ("99999999999999999999999999999999999999 N·m", "20 N·m"),
        ("40-20 N·m", "low end first"),
        ("25 N·m (18)", "say the unit"),
        ("25 N·m (18 lbf·ft", "close the bracket"),
        ("25 N·m / 18 lbf·ft", "goes in brackets"),
    ];
    let mut text = "position,part,torque\n".to_owned();
    for (index, (torque, _)) in cases.iter().enumerate() {
        text.push_str(&format!("place-{index},P-10,{torque}\n"));
    }
    let answer = with_wrong("positions.csv", text);
    for (index, (torque, what_to_do)) in cases.iter().enumerate() {
        answer.tells(&[
            &format!("error: positions.csv:{}, column torque: `{torque}`", index + 2),
            what_to_do,
        ]);
    }
}

#[test]
fn a_size_that_is_none_is_refused_with_what_to_type() {
    let text = "part,feature,size\nP-10,bore,wide\nP-10,bore,1e400\nP-10,bore,7/0 in\nP-10,bore,10 +0.1\n,bore,\n";
    let answer = with_wrong("dimensions.csv", text);
    for (line, size) in [(2, "wide"), (3, "1e400"), (4, "7/0 in"), (5, "10 +0.1")] {
        answer.tells(&[&format!("error: dimensions.csv:{line}, column size: `{size}` is no size")]);
    }
    answer
        .tells(&["error: dimensions.csv:6, column part:", "blank"])
        .tells(&["error: dimensions.csv:6, column size:"]);
}

#[test]
fn a_word_that_is_not_one_of_the_few_is_refused_with_those() {
    let text = "part,single_use,status,unit\nP-10,maybe,sold out,firkin\n";
    with_wrong("parts.csv", text)
        .tells(&["error: parts.csv:2, column single_use: `maybe`", "yes or no"])
        .tells(&[
            "error: parts.csv:2, column status: `sold out`",
            "available, discontinued or withdrawn",
        ])
        .tells(&["error: parts.csv:2, column unit: `firkin`", "each", "mm"]);
    with_wrong("positions.csv", "position,part,when_disturbed\nimpeller,P-10,throw away\n").tells(
        &["error: positions.csv:2, column when_disturbed: `throw away`", "renew, inspect or keep"],
    );
}

#[test]
fn a_row_with_more_cells_than_the_header_is_refused_with_what_is_left_over() {
    let answer = with_wrong("stock.csv", "part,quantity\nP-10,1,top shelf\nG-20,1,,,\nS-30,none\n");
    answer
        .tells(&[
            "error: stock.csv:2, column 3:",
            "3 cells",
            "`top shelf` is left over",
            "quotation marks",
        ])
        .tells(&["error: stock.csv:4, column quantity: `none`"])
        // Empty cells behind the last column are what a spreadsheet leaves.
        .tells_nothing_of("stock.csv:3");
}

#[test]
fn a_required_cell_left_blank_is_named_by_its_column() {
    let answer =
        with_wrong("stock.csv", "part,quantity,bin\n,1,shelf\nP-10,,shelf\nG-20\n,,bin\n,,\n");
    answer
        .tells(&["error: stock.csv:2, column part:", "blank", "needs its part"])
        .tells(&["error: stock.csv:3, column quantity:", "blank", "needs its quantity"])
        .tells(&["error: stock.csv:4, column quantity:", "blank"])
        .tells(&["error: stock.csv:5, column part:"])
        .tells(&["error: stock.csv:5, column quantity:"])
        // A line of nothing but delimiters is empty.
        .tells_nothing_of("stock.csv:6");
}

#[test]
fn a_part_number_of_nothing_but_separators_is_refused() {
    let answer = with_wrong(
        "parts.csv",
        "part,name\n-.-/,Dashes\n...,Dots\nP-10,Impeller\n \u{2013} ,A dash\n",
    );
    answer
        .tells(&["error: parts.csv:2, column part: `-.-/`", "no letter or digit"])
        .tells(&["error: parts.csv:3, column part: `...`", "no letter or digit"])
        .tells(&["error: parts.csv:5, column part: `–`", "no letter or digit"])
        .tells_nothing_of("parts.csv:4");
    with_wrong("positions.csv", "position,part\nimpeller,--\n")
        .tells(&["error: positions.csv:2, column part: `--`"]);
    with_wrong("supersessions.csv", "old,new\n-,P-10\n")
        .tells(&["error: supersessions.csv:2, column old: `-`"]);
}

#[test]
fn a_wrong_item_of_a_list_is_shown_and_not_the_whole_list() {
    let text = "operation,uses,minutes\ncover-off,P-10=1;oil;G-20=lots; ;S-30=-1,quick\n";
    with_wrong("operations.csv", text)
        .tells(&["error: operations.csv:2, column uses: `oil`", "say how much"])
        .tells(&["error: operations.csv:2, column uses: `lots`", "plain number"])
        .tells(&["error: operations.csv:2, column uses: `-1`"])
        .tells(&["error: operations.csv:2, column minutes: `quick`"]);
    with_wrong(
        "supersessions.csv",
        "old,new,needs\nP-10,P-11,=G-20;cover-bolt=-.-;cover-bolt=S-30*none\n",
    )
    .tells(&["error: supersessions.csv:2, column needs: `=G-20`", "name the position"])
    .tells(&["error: supersessions.csv:2, column needs: `-.-`"])
    .tells(&["error: supersessions.csv:2, column needs: `none`"]);
}

#[test]
fn half_an_item_of_a_list_is_not_called_a_blank_cell() {
    with_wrong("operations.csv", "operation,uses\ncover-off,=2;G-20=\n")
        .tells(&["error: operations.csv:2, column uses:", "part number"])
        .tells(&["error: operations.csv:2, column uses:", "quantity"])
        .tells_nothing_of("blank");
    with_wrong("supersessions.csv", "old,new,needs\nP-10,P-11,cover-gasket=;cover-bolt=S-30*\n")
        .tells(&["error: supersessions.csv:2, column needs:", "name a part after the = sign"])
        .tells(&["error: supersessions.csv:2, column needs:", "quantity"])
        .tells_nothing_of("blank");
}

#[test]
fn every_wrong_cell_of_a_row_and_every_wrong_row_is_told_of_in_one_run() {
    let text =
        "machine,model,year,hours,bought\nskiff,,20O4,many,spring\nbarge,Q12,1e3,-1,\n,Q9,,,\n";
    let answer = with_wrong("machines.csv", text);
    for (line, columns) in
        [(2, &["model", "year", "hours", "bought"][..]), (3, &["year", "hours"]), (4, &["machine"])]
    {
        for column in columns {
            answer.tells(&[&format!("error: machines.csv:{line}, column {column}:")]);
        }
    }
    assert_eq!(answer.err.matches("error: machines.csv").count(), 7, "{}", answer.err);
}

#[test]
fn a_table_that_is_wrong_all_through_is_told_of_shortly() {
    let wrong = |rows: usize| {
        Catalog::with("stock.csv", format!("part,quantity\n{}", "P-10,none\n".repeat(rows)))
    };
    let answer = wrong(10_000).kit();
    answer.ends(0).in_seconds().tells(&["note: 10000 rows cannot be read", "kitwright check"]);
    assert_eq!(answer.err.lines().count(), 1);
    let all = wrong(1000).ask(["check", "--json"]);
    assert_eq!(all.ends(2).json()["errors"].as_array().map(Vec::len), Some(1000));
}

#[test]
fn a_table_that_is_wrong_all_through_does_not_bury_the_rest() {
    with_wrong("stock.csv", format!("part,quantity\n{}", "P-10,none\n".repeat(10_000)));
}

// Headers.

#[test]
fn a_required_column_that_is_missing_is_named_with_the_one_that_may_be_meant() {
    with_wrong("stock.csv", "part,qantity\nP-10,1\n").tells(&[
        "error: stock.csv:1, column quantity:",
        "lacks the column quantity",
        "add it to the header line",
        "is `qantity` meant?",
    ]);
    with_wrong("offers.csv", "\n# shop\nnote\n-\n")
        .tells(&["error: offers.csv:3, column supplier:", "lacks the column supplier"])
        .tells(&["error: offers.csv:3, column part:"])
        .tells(&["error: offers.csv:3, column price:"]);
}

#[test]
fn a_column_that_the_header_names_twice_is_refused() {
    for header in ["part,quantity,bin,quantity", "part,quantity,Quantity ,\"QUANTITY\""] {
        let answer = with_wrong("stock.csv", format!("{header}\nP-10,1,2,3\n"));
        answer.tells(&[
            "error: stock.csv:1, column quantity:",
            "twice",
            "take one out or rename it",
        ]);
        assert!(has_one(&answer.err, "stock.csv:1"), "{}", answer.err);
    }
}

#[test]
fn a_header_may_be_in_any_case_and_order() {
    let catalog = Catalog::with(
        "positions.csv",
        "REACHED_BY, Joint ,\"Quantity\",PART,Position\ncover-off,,1,P-10,impeller\n,cover,2,G-20,cover-gasket\n,cover,4,S-30,cover-bolt\n",
    );
    catalog.kit().is_content().prints("2  G-20");
}

#[test]
fn an_unknown_column_is_noted_only_if_its_name_is_nearly_a_known_one() {
    let catalog = Catalog::with("stock.csv", "part,quantity,my own remarks,not\nP-10,1,x,y\n");
    let answer = catalog.kit();
    answer.ends(0).tells(&[
        "note: stock.csv:1, column not:",
        "kept and not read",
        "if note is meant, rename it",
    ]);
    answer.tells_nothing_of("my own remarks");
    assert_ne!(catalog.ask(["check"]).status, 2, "a column of the owner's own is no error");
}

#[test]
fn a_file_whose_name_is_nearly_that_of_a_table_is_noted() {
    let catalog = Catalog::sound();
    catalog.write("position.csv", "position,part\nimpeller,\n");
    catalog.write("boat/Prices of 2004.csv", "a,b\n\"");
    let answer = catalog.kit();
    answer
        .ends(0)
        .tells(&["note: position.csv:", "not read", "call it positions.csv"])
        .tells_nothing_of("Prices");
}

#[test]
fn semicolons_with_decimal_commas_are_read_as_they_are_meant() {
    let catalog = Catalog::sound();
    catalog.write(
        "parts.csv",
        "part;type;name;unit\nP-10;impeller;Impeller, small;\nG-20;gasket;;m\nS-30;bolt;;\n",
    );
    catalog.write(
        "positions.csv",
        "position;part;quantity;joint;reached_by\nimpeller;P-10;1;;cover-off\ncover-gasket;G-20;0,35 m;\"cover;rim\";-\ncover-bolt;S-30;4;cover;\n",
    );
    catalog.kit().is_content().prints("0.35 m").prints("Impeller, small");
}

#[test]
fn tabs_are_read_but_a_decimal_comma_belongs_to_semicolons_only() {
    let catalog = Catalog::sound();
    catalog.write(
        "positions.csv",
        "position\tpart\tquantity\tjoint\treached_by\nimpeller\tP-10\t1\t\tcover-off\ncover-gasket\tG-20\t2\tcover\t\n",
    );
    catalog.write("operations.csv", "operation\topens\ncover-off\tcover\n");
    catalog.kit().is_content().prints("2  G-20");
    with_wrong("stock.csv", "part\tquantity\nP-10\t1,350\n")
        .tells(&["error: stock.csv:2, column quantity: `1,350`", "0.35"]);
    with_wrong("stock.csv", "part,quantity\nP-10,\"1,350\"\n")
        .tells(&["error: stock.csv:2, column quantity: `1,350`"]);
}

#[test]
fn line_ends_and_a_byte_order_mark_change_neither_rows_nor_line_numbers() {
    for end in ["\n", "\r\n", "\r"] {
        for mark in ["", "\u{FEFF}"] {
            let lines =
                ["# shelf", "", "part,quantity,bin", "P-10,1,\"two", "lines\"", "G-20,none,"];
            let text = format!("{mark}{}", lines.join(end));
            with_wrong("stock.csv", &text).tells(&["error: stock.csv:6, column quantity: `none`"]);
            let catalog = Catalog::with("stock.csv", text.replace("none", "2"));
            catalog.ask(["part", "G-20"]).is_content().prints("On the shelf\n  2");
        }
    }
}

#[test]
fn a_remark_may_hold_stray_quotation_marks() {
    let text = "# 7/64\" and \"more\n  # \"\npart,quantity\n# \"P-10,none\nP-10,3\n#\"\n";
    let catalog = Catalog::with("stock.csv", text);
    catalog.ask(["part", "P-10"]).is_content().prints("On the shelf\n  3");
}

#[test]
fn a_table_of_nothing_holds_nothing() {
    for text in ["", "\u{FEFF}", "\n\n\r\n", "# only a remark", "\"\"", "part,quantity"] {
        Catalog::with("stock.csv", text).kit().is_content();
    }
}

#[test]
fn bytes_of_nought_do_not_make_it_fall_over() {
    let answer = with_wrong("stock.csv", b"part,quantity\n\0\0\0,1\n\0,\0\nP-10\0,1\n".as_slice());
    answer.tells(&["error: stock.csv:3, column quantity:"]);
    let check =
        Catalog::with("stock.csv", b"part,quantity\n\0\0\0,1\n\0,\0\n".as_slice()).ask(["check"]);
    assert!(!check.out.contains('\0'), "a control character reaches the terminal");
}

// Files and folders.

#[test]
fn an_empty_folder_is_no_catalog_and_the_tables_of_a_first_kit_are_named() {
    for arguments in [
        &["kit", "pump", "--on", "skiff"][..],
        &["check"],
        &["part", "P-10"],
        &["fits", "P-10", "skiff"],
    ] {
        let answer = Catalog::empty().ask(arguments);
        answer.refuses().tells(&[
            "error: there are no tables in ",
            "machines.csv",
            "job_lines.csv",
            "kitwright columns",
        ]);
    }
}

#[test]
fn a_catalog_whose_tables_are_all_empty_says_that_it_holds_no_machine() {
    let catalog = Catalog::empty();
    catalog.write("machines.csv", "");
    catalog.kit().refuses().tells(&["error: no machine 'skiff'", "holds none yet"]);
}

#[test]
fn without_any_catalog_the_person_is_told_how_to_name_one() {
    let nowhere = Catalog::empty();
    let mut command = program();
    command.args(["kit", "pump", "--on", "skiff"]).current_dir(nowhere.0.path());
    let answer = answer_of(command);
    answer.refuses().tells(&["error: no catalog here", "machines.csv", "--catalog DIR"]);
}

#[test]
fn a_catalog_folder_that_is_not_there_or_is_a_file_is_named() {
    let catalog = Catalog::sound();
    for (name, reason) in [("no-such-folder", "No such file"), ("parts.csv", "Not a directory")] {
        let mut command = program();
        command.arg("-C").arg(catalog.path(name)).args(["kit", "pump", "--on", "skiff"]);
        answer_of(command).refuses().tells(&[
            "error: the catalog folder ",
            name,
            "check its name",
            reason,
        ]);
    }
}

#[test]
fn the_tables_of_several_folders_are_one_catalog_and_hidden_ones_are_skipped() {
    let catalog = Catalog::sound();
    catalog.write("skiff/deep/down/stock.csv", "part,quantity\nP-10,5\n");
    for hidden in
        [".git/parts.csv", "skiff/.old/deep/positions.csv", ".parts.csv", "skiff/.~lock.stock.csv"]
    {
        catalog.write(hidden, b"\xFF\"nothing that can be read");
    }
    catalog.kit().is_content();
    catalog.ask(["part", "P-10"]).is_content().prints("On the shelf\n  5");
    catalog.write("skiff/deep/down/stock.csv", "part,quantity\nP-10,none\n");
    catalog.ask(["check"]).lists(&["skiff/deep/down/stock.csv:2, column quantity: `none`"]);
}

#[test]
fn the_nearest_folder_upward_that_holds_tables_is_the_catalog() {
    let outer = Catalog::sound();
    let inner = outer.path("boats/inner");
    fs::create_dir_all(inner.join("papers/scans")).expect("folders");
    // A folder of that name is no table.
    fs::create_dir_all(outer.path("boats/machines.csv")).expect("a folder");
    let from = |place: &Path| {
        let mut command = program();
        command.args(["kit", "pump", "--on", "skiff"]).current_dir(place);
        command
    };
    answer_of(from(&inner.join("papers"))).ends(0).prints("pump on skiff");
    outer.write("boats/inner/machines.csv", "machine,model\npunt,Q9\n");
    answer_of(from(&inner.join("papers/scans")))
        .refuses()
        .tells(&["error: no machine 'skiff'", "punt"]);
    answer_of(from(&outer.path("boats"))).ends(0).prints("pump on skiff");

    let mut named = from(&inner);
    named.env("KITWRIGHT_CATALOG", outer.0.path());
    answer_of(named).ends(0).prints("pump on skiff");

    let mut both = from(&outer.path("boats"));
    both.env("KITWRIGHT_CATALOG", outer.0.path()).arg("--catalog").arg(&inner);
    answer_of(both).refuses().tells(&["error: no machine 'skiff'", "punt"]);

    let mut gone = from(&inner);
    gone.env("KITWRIGHT_CATALOG", outer.path("no-such-folder"));
    answer_of(gone).refuses().tells(&["error: the catalog folder ", "no-such-folder"]);
}

#[test]
fn a_blank_variable_names_no_catalog() {
    let catalog = Catalog::sound();
    let mut command = program();
    command
        .env("KITWRIGHT_CATALOG", "")
        .args(["kit", "pump", "--on", "skiff"])
        .current_dir(catalog.0.path());
    answer_of(command).is_content().prints("pump on skiff");
}

// What is asked for.

#[test]
fn a_serial_limit_on_a_machine_without_a_serial_is_a_gap_and_no_error() {
    for serial in ["", "unknown", "C1500"] {
        let catalog = Catalog::with(
            "machines.csv",
            format!("machine,model,year,serial\nskiff,Q9,1999,{serial}\n"),
        );
        catalog.write(
            "positions.csv",
            "position,part,serials,joint,reached_by\nimpeller,P-10,B1000-B1999,,cover-off\nimpeller,G-20,B2000-,,cover-off\ncover-gasket,G-20,,cover,\n",
        );
        let answer = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
        answer.ends(3);
        assert!(
            answer.gaps().contains(&("not-settled".into(), "impeller".into())),
            "{:?}",
            answer.gaps()
        );
        assert_eq!(answer.json()["complete"], false);
        let page = catalog.kit();
        page.ends(3).prints("NOT complete").prints("not-settled: impeller");
        let what_to_do =
            if serial.starts_with('C') { "another prefix" } else { "fill in the serial of skiff" };
        assert!(
            page.out.split_whitespace().collect::<Vec<_>>().join(" ").contains(what_to_do),
            "{}",
            page.out
        );
    }
}

#[test]
fn a_job_for_another_model_is_refused_with_its_limits_unless_one_insists() {
    let catalog = Catalog::sound();
    let answer = catalog.ask(["kit", "gearbox", "--on", "skiff"]);
    answer.refuses().tells(&["error: the job gearbox is not for skiff", "model Q12", "--force"]);
    let insisted = catalog.ask(["kit", "gearbox", "--on", "skiff", "--force"]);
    insisted.ends(0).prints("gearbox is for other machines").prints("P-10");
    catalog.ask(["kit", "gearbox", "--on", "barge"]).is_content();
    // The good job does not carry the other along.
    catalog
        .ask(["kit", "pump", "gearbox", "--on", "skiff"])
        .refuses()
        .tells(&["the job gearbox is not for skiff"]);
}

#[test]
fn a_name_that_is_nearly_known_is_suggested() {
    let catalog = Catalog::sound();
    let cases: &[(&[&str], &[&str])] = &[
        (&["kit", "pump", "--on", "skif"], &["no machine 'skif'", "did you mean 'skiff'?"]),
        (&["kit", "pmup", "--on", "SKIFF"], &["no job 'pmup'", "did you mean 'pump'?"]),
        (
            &["kit", "--renew", "impellr", "--on", "skiff"],
            &["no position 'impellr'", "did you mean 'impeller'?"],
        ),
        (
            &["kit", "pump", "--on", "skiff", "--reuse", "cover-bolts"],
            &["no position", "did you mean 'cover-bolt'?"],
        ),
        (
            &["kit", "pump", "--on", "skiff", "--instead", "impelle=P-10"],
            &["no position 'impelle'", "'impeller'?"],
        ),
        (&["fits", "P-10", "skifff"], &["no machine 'skifff'", "did you mean 'skiff'?"]),
        (
            &["fits", "P-10", "skiff", "--at", "impeler"],
            &["no position 'impeler'", "did you mean 'impeller'?"],
        ),
        (&["kit", "pump", "--on", "tractor"], &["no machine 'tractor'", "there are: skiff, barge"]),
        (&["kit", "overhaul", "--on", "skiff"], &["no job 'overhaul'", "there are: pump, gearbox"]),
        (&["kit", "--on", "skiff"], &["name a job", "--renew"]),
        (&["kit", "pump"], &["which machine?", "skiff, barge"]),
        (&["tables", "postions"], &["no table 'postions'", "did you mean 'positions'?"]),
        (
            &["check", "--explain", "supersession-cycel"],
            &["no code", "did you mean 'supersession-cycle'?"],
        ),
    ];
    for (arguments, pieces) in cases {
        let answer = catalog.ask(*arguments);
        answer.refuses();
        let said = answer.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(in_order(&said, pieces), "{arguments:?}: {said}");
    }
}

#[test]
fn a_part_that_no_table_names_is_not_found_with_a_near_one_suggested() {
    let answer = Catalog::sound().ask(["part", "p11"]);
    answer.ends(1).tells(&["no table names the part p11", "did you mean P-10?"]);
    assert_eq!(answer.out, "");
    let why = Catalog::sound().ask(["kit", "pump", "--on", "skiff", "--why", "G-2O"]);
    why.ends(1).tells(&["this kit", "G-2O", "did you mean G-20?"]);
    Catalog::sound().ask(["fits", "X-99", "skiff"]).ends(3).prints("not-known");
}

#[test]
fn an_option_that_no_line_asks_about_is_refused_unless_one_insists() {
    let ask = ["kit", "pump", "--on", "skiff", "--option", "shaft-out"];
    Catalog::sound().ask(ask).refuses().tells(&["error:", "option 'shaft-out'", "--force"]);
    let insisted = Catalog::sound().ask(ask.into_iter().chain(["--force"]));
    insisted.ends(0).prints("P-10");
    let json = Catalog::sound().ask(ask.into_iter().chain(["--force", "--json"]));
    json.ends(0);
    assert_eq!(json.json()["complete"], true, "a note does not get into the JSON");
}

#[test]
fn only_what_goes_by_rule_can_be_reused_on_the_persons_word() {
    let catalog = Catalog::sound();
    catalog.add("positions.csv", "drain-plug,S-30,1,sump,\n");
    let ask = |position: &str| catalog.ask(["kit", "pump", "--on", "skiff", "--reuse", position]);
    ask("impeller").refuses().tells(&["error: impeller cannot be reused here", "the job itself"]);
    ask("drain-plug")
        .refuses()
        .tells(&["error: drain-plug cannot be reused here", "nothing in this plan disturbs it"]);
    ask("cover-bolt").refuses().tells(&["error: cover-bolt cannot be reused here", "not renewed"]);
    ask("cover-gasket").ends(0).prints("cover-gasket");
    let both = catalog.ask([
        "kit",
        "pump",
        "--on",
        "skiff",
        "--renew",
        "drain-plug",
        "--reuse",
        "drain-plug",
    ]);
    both.refuses().tells(&["error: drain-plug cannot be reused here", "--renew"]);
}

#[test]
fn a_choice_of_ones_own_is_told_how_it_is_written() {
    let cases = [
        ("impeller", "POSITION=PART"),
        ("=", "name the position"),
        ("=P-10", "name the position"),
        ("impeller=", "name a part after the = sign"),
        ("impeller=P-10*0", "plain number above zero"),
        ("impeller=P-10*-1", "plain number above zero"),
        ("impeller=...", "no letter or digit"),
        ("", "POSITION=PART"),
    ];
    for (choice, what_to_do) in cases {
        let answer = Catalog::sound().ask(["kit", "pump", "--on", "skiff", "--instead", choice]);
        answer.refuses().tells(&[
            "error:",
            &format!("'{choice}'"),
            "--instead <POSITION=PART>",
            what_to_do,
        ]);
    }
}

// Arguments that are strange in themselves.

#[test]
fn an_empty_argument_is_refused_like_any_other_name_that_is_not_there() {
    let cases: &[(&[&str], &str)] = &[
        (&["kit", "pump", "--on", ""], "no machine ''"),
        (&["kit", "pump", "--on", "  "], "no machine ''"),
        (&["kit", "", "--on", "skiff"], "no job ''"),
        (&["kit", "pump", "", "--on", "skiff"], "no job ''"),
        (&["kit", "--renew", "", "--on", "skiff"], "no position ''"),
        (&["kit", "pump", "--on", "skiff", "--why", ""], "--why needs a part number"),
        (&["part", ""], "at least one letter or digit"),
        (&["part", "-./"], "at least one letter or digit"),
        (&["fits", "", "skiff"], "at least one letter or digit"),
        (&["fits", "P-10", ""], "no machine ''"),
        (&["fits", "P-10", "skiff", "--at", ""], "no position ''"),
        (&["check", "--explain", ""], "no code ''"),
        (&["tables", ""], "no table ''"),
        (&[""], "''"),
    ];
    for (arguments, reason) in cases {
        Catalog::sound().ask(*arguments).refuses().tells(&["error: ", reason]);
    }
}

#[test]
fn what_follows_two_hyphens_is_a_name_and_no_option() {
    let catalog = Catalog::sound();
    catalog.ask(["kit", "--on", "skiff", "--", "pump"]).is_content();
    catalog
        .ask(["kit", "--on", "skiff", "--", "--pump"])
        .refuses()
        .tells(&["error: no job '--pump'"]);
    catalog.ask(["kit", "--", "pump", "--on", "skiff"]).refuses().tells(&["error: no job '--on'"]);
    catalog.ask(["part", "--", "-P-10"]).is_content().prints("P-10");
    catalog.ask(["--", "kit"]).refuses().tells(&["error:", "'kit'"]);
    catalog.ask(["--"]).is_content();
    catalog.ask(["kit", "--on"]).refuses().tells(&["error:", "--on <MACHINE>"]);
    catalog
        .ask(["kit", "pump", "--on", "skiff", "--on", "barge"])
        .refuses()
        .tells(&["error:", "--on <MACHINE>"]);
    catalog.ask(["kit", "pump", "--om", "skiff"]).refuses().tells(&["error:", "'--om'"]);
    catalog.ask(["kti"]).refuses().tells(&["error:", "'kti'"]);
    catalog
        .ask([OsStr::new("--color"), OsStr::new("mauve"), OsStr::new("check")])
        .refuses()
        .tells(&["error:", "'mauve'", "--color"]);
}

/// The longest argument that the common systems pass on is a little longer than this.
const LONG: usize = 100_000;

#[test]
fn a_very_long_argument_is_refused_in_seconds() {
    let catalog = Catalog::sound();
    let long = "x".repeat(LONG);
    catalog.ask(["kit", "pump", "--on", &long]).refuses().in_seconds();
    catalog.ask(["kit", &long, "--on", "skiff"]).refuses().in_seconds();
    catalog.ask(["kit", "--renew", &long, "--on", "skiff"]).refuses().in_seconds();
    catalog.ask(["kit", "pump", "--on", "skiff", "--instead", &long]).refuses().in_seconds();
    catalog.ask(["tables", &long]).refuses().in_seconds();
    catalog.ask(["part", &long]).ends(1).in_seconds();
    catalog.ask(["fits", &long, "skiff"]).ends(3).in_seconds();
    let many: Vec<String> = (0..2000).map(|index| format!("job-{index}")).collect();
    let mut arguments = vec!["kit".to_owned(), "--on".to_owned(), "skiff".to_owned()];
    arguments.extend(many);
    catalog.ask(arguments).refuses().in_seconds().tells(&["error: no job 'job-0'"]);
}

#[test]
fn a_very_long_name_is_shown_shortened() {
    let catalog = Catalog::sound();
    let long = "x".repeat(LONG);
    for arguments in [
        &["kit", "pump", "--on", &long][..],
        &["kit", &long, "--on", "skiff"],
        &["kit", "pump", "--on", "skiff", "--renew", &long],
        &["kit", "pump", "--on", "skiff", "--with", &long],
        &["kit", "pump", "--on", "skiff", "--why", &long],
        &["part", &long],
        &["fits", "P-10", &long],
        &["tables", &long],
        &["check", "--explain", &long],
    ] {
        let answer = catalog.ask(arguments);
        answer.tells(&["xxxxxxxx"]);
        assert!(
            answer.err.len() < 1000,
            "{} bytes of message for {:?}",
            answer.err.len(),
            arguments[0]
        );
    }
}

#[test]
fn two_very_long_names_are_compared_in_seconds() {
    let catalog = Catalog::sound();
    let long = "x".repeat(LONG);
    catalog.add("machines.csv", &format!("y{long},Q9,,,\n"));
    catalog.ask(["kit", "pump", "--on", &long]).refuses().in_seconds();
}

#[test]
fn colour_comes_and_goes_as_it_is_asked_for() {
    let catalog = Catalog::sound();
    let coloured = |when: &[&str], environment: &[(&str, &str)]| {
        let mut command = program();
        command.arg("-C").arg(catalog.0.path()).args(["kit", "pump", "--on", "skiff"]).args(when);
        command.envs(environment.iter().copied());
        let answer = answer_of(command);
        answer.is_content();
        answer.out.contains('\u{1b}')
    };
    assert!(!coloured(&[], &[]), "nobody sees the colour of a pipe");
    assert!(coloured(&["--color", "always"], &[]));
    assert!(
        coloured(&["--color=always"], &[("NO_COLOR", "1")]),
        "what is asked for by name counts most"
    );
    assert!(
        coloured(&[], &[("CLICOLOR_FORCE", "1")]),
        "otherwise the next lines would show nothing"
    );
    assert!(!coloured(&[], &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]));
    assert!(!coloured(&["--color", "never"], &[("CLICOLOR_FORCE", "1")]));
}

// Long chains and deep nests.

#[test]
fn a_chain_of_twenty_thousand_numbers_is_followed_in_seconds() {
    const LENGTH: usize = 20_000;
    let catalog = Catalog::sound();
    let mut text = "old,new\nP-10,N1\n".to_owned();
    for number in 1..LENGTH {
        text.push_str(&format!("N{number},N{}\n", number + 1));
    }
    catalog.write("supersessions.csv", text);
    catalog.add("parts.csv", &format!("N{LENGTH},impeller,The last of them,\n"));
    let last = format!("N{LENGTH}");
    let kit = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    kit.is_content().in_seconds();
    let answer = kit.json();
    let impeller = &answer["positions"][0]["parts"][0];
    assert_eq!(impeller["part"], *last);
    assert_eq!(impeller["chain"].as_array().map(Vec::len), Some(LENGTH + 1));
    catalog.kit().is_content().in_seconds();
    catalog.ask(["part", "P-10"]).is_content().in_seconds();
    catalog.ask(["part", &last, "--json"]).is_content().in_seconds();
    catalog.ask(["fits", &last, "skiff"]).ends(0).in_seconds().prints("fits");
    catalog
        .ask(["kit", "pump", "--on", "skiff", "--why", &last])
        .is_content()
        .in_seconds()
        .prints("the job pump renews it");

    // The last one leads back to the first.
    catalog.add("supersessions.csv", &format!("{last},P-10\n"));
    let circle = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    circle.ends(3).in_seconds();
    assert_eq!(circle.gaps(), [("supersession-cycle".into(), "P-10".into())]);
}

#[test]
fn operations_that_wait_for_each_other_are_a_gap() {
    let catalog = Catalog::with(
        "operations.csv",
        "operation,needs,opens,removes\ncover-off,belt-off,cover,cover-bolt\nbelt-off,guard-off,,\nguard-off,cover-off,,\n",
    );
    let answer = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    answer.ends(3);
    assert_eq!(answer.gaps(), [("operation-cycle".into(), "cover-off".into())]);
    assert_eq!(answer.json()["operations"].as_array().map(Vec::len), Some(3));

    let itself = Catalog::with(
        "operations.csv",
        "operation,needs,opens,removes\ncover-off,cover-off,cover,\n",
    );
    let answer = itself.ask(["kit", "pump", "--on", "skiff", "--json"]);
    assert_eq!(answer.ends(3).gaps(), [("operation-cycle".into(), "cover-off".into())]);
}

#[test]
fn a_circle_of_two_thousand_operations_is_a_gap_in_seconds() {
    const COUNT: usize = 2000;
    let mut text = "operation,needs,opens\ncover-off,step-0,cover\n".to_owned();
    for step in 0..COUNT {
        text.push_str(&format!("step-{step},step-{},\n", (step + 1) % COUNT));
    }
    let catalog = Catalog::with("operations.csv", text);
    let answer = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    answer.ends(3).in_seconds();
    assert_eq!(answer.gaps(), [("operation-cycle".into(), "step-0".into())]);
    assert_eq!(answer.json()["operations"].as_array().map(Vec::len), Some(COUNT + 1));
}

#[test]
fn three_thousand_boxes_inside_each_other_are_opened_in_seconds() {
    const DEPTH: usize = 3000;
    let catalog = Catalog::sound();
    let mut text = "part,contains\nK-50,C1\n".to_owned();
    for depth in 1..DEPTH {
        text.push_str(&format!("C{depth},C{}\n", depth + 1));
    }
    // The innermost holds the gasket, and, by mistake, the set that it came in.
    text.push_str(&format!("C{DEPTH},G-20\nC{DEPTH},K-50\nC{DEPTH},C{DEPTH}\n"));
    catalog.write("contains.csv", text);
    catalog.write("job_lines.csv", "job,position,part\npump,impeller,\npump,,K-50\n");
    let answer = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    answer.is_content().in_seconds();
    let kit = answer.json();
    let gasket = kit["positions"]
        .as_array()
        .and_then(|all| all.iter().find(|one| one["position"] == "cover-gasket"));
    assert_eq!(
        gasket.map(|gasket| gasket["covered"][0]["by"].clone()),
        Some(format!("C{DEPTH}").into())
    );
    catalog.ask(["part", "K-50", "--json"]).is_content().in_seconds();
    catalog.ask(["part", "G-20"]).is_content().in_seconds();
}

#[test]
fn amounts_that_grow_beyond_all_counting_do_not_make_it_fall_over() {
    let catalog = Catalog::sound();
    let most = "1000000000";
    catalog.write(
        "job_lines.csv",
        format!(
            "job,position,part,quantity\npump,impeller,,\npump,,K-50,{most}\npump,,K-50,{most}\n"
        ),
    );
    let mut contains = "part,contains,quantity\n".to_owned();
    let mut became = "old,new,quantity\n".to_owned();
    for (from, to) in [("K-50", "C1"), ("C1", "C2"), ("C2", "C3"), ("C3", "G-29"), ("C3", "G-29")] {
        contains.push_str(&format!("{from},{to},{most}\n"));
    }
    for (from, to) in [("G-20", "G-21"), ("G-21", "G-22"), ("G-22", "G-23"), ("G-23", "G-29")] {
        became.push_str(&format!("{from},{to},{most}\n"));
    }
    catalog.write("contains.csv", contains);
    catalog.write("supersessions.csv", became);
    catalog.add("parts.csv", "G-29,gasket,Cover gasket,\n");
    catalog.add("positions.csv", "rim-gasket,G-20,1000000000,cover,\n");
    for arguments in [&["--json"][..], &["--csv"], &["--why", "G-29"], &[]] {
        let answer = catalog.ask(["kit", "pump", "--on", "skiff"].iter().chain(arguments));
        assert!(matches!(answer.status, 0 | 3), "{}", answer.err);
    }
}

/// 100 mm has no end when it is counted in inches, so no sum of it comes out to the last figure.
#[test]
fn what_arrives_in_another_unit_is_counted_off() {
    let catalog = Catalog::sound();
    catalog.add("parts.csv", "H-60,gasket,Sealing cord,in\n");
    catalog.add("positions.csv", "cover-cord,H-60,100 in,cover,\n");
    catalog.write("contains.csv", "part,contains,quantity,position\nK-50,H-60,100 mm,cover-cord\n");
    catalog.write("job_lines.csv", "job,position,part\npump,impeller,\npump,,K-50\n");
    let answer = catalog.ask(["kit", "pump", "--on", "skiff", "--json"]);
    answer.is_content();
    let kit = answer.json();
    let cord =
        kit["lines"].as_array().and_then(|lines| lines.iter().find(|line| line["part"] == "H-60"));
    let ordered = cord.and_then(|line| line["quantity"].as_f64()).expect("the cord on a line");
    assert!((ordered - (100.0 - 100.0 / 25.4)).abs() < 1e-6, "{ordered}");
}

#[test]
fn an_amount_too_small_to_count_is_refused_or_told_of_but_never_dropped() {
    let tiny = format!("0.{}1", "0".repeat(26));
    let place = Catalog::sound();
    place.add("parts.csv", "H-60,gasket,Sealing cord,in\n");
    place.add("positions.csv", &format!("cover-cord,H-60,{tiny} mm,cover,\n"));
    let used = Catalog::with(
        "operations.csv",
        format!("operation,opens,uses\ncover-off,cover,H-60={tiny} mm\n"),
    );
    used.add("parts.csv", "H-60,gasket,Sealing cord,in\n");
    let chain = Catalog::sound();
    chain.write(
        "supersessions.csv",
        "old,new,quantity\nG-20,G-21,0.0000000001\nG-21,G-22,0.0000000001\nG-22,G-23,0.0000000001\n",
    );
    chain.add("parts.csv", "G-23,gasket,Cover gasket,\n");
    for (catalog, part) in [(place, "H-60"), (used, "H-60"), (chain, "G-23")] {
        let answer = catalog.kit();
        assert!(
            answer.status != 0
                || answer.out.contains(part)
                || answer.err.contains("1 row cannot be read"),
            "{part} is nowhere:\n{}",
            answer.out
        );
    }
}

/// A job whose lines were typed under another name must not pass for one that needs nothing.
#[test]
fn a_job_without_any_line_is_not_called_complete_in_silence() {
    let answer = Catalog::with("job_lines.csv", "job,position\npmup,impeller\n").kit();
    answer.prints("job_lines").prints("the job pump has no lines");
}

#[cfg(unix)]
mod on_a_unix_system {
    use super::*;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;

    /// Asks as someone to whom permissions apply: a superuser may read everything, so as one the tests run a copy of
    /// the program as nobody.
    fn answer_to_a_plain_user(catalog: &Catalog) -> Answer {
        const NOBODY: u32 = 65534;
        let readable = fs::Permissions::from_mode(0o755);
        let folder = tempfile::Builder::new()
            .permissions(readable.clone())
            .tempdir()
            .expect("a temporary folder");
        let mut command = program();
        if fs::metadata(folder.path()).expect("the folder").uid() == 0 {
            let copy = folder.path().join("kitwright");
            fs::copy(env!("CARGO_BIN_EXE_kitwright"), &copy).expect("a copy of the program");
            fs::set_permissions(&copy, readable).expect("permissions");
            command = clean(Command::new(copy));
            command.uid(NOBODY).gid(NOBODY);
        }
        command.arg("-C").arg(catalog.0.path()).args(["kit", "pump", "--on", "skiff"]);
        answer_of(command)
    }

    fn set_mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("permissions");
    }

    /// A sound catalog that everyone may read.
    fn open_to_all() -> Catalog {
        let catalog = Catalog::sound();
        set_mode(catalog.0.path(), 0o755);
        catalog
    }

    #[test]
    fn a_plain_user_reads_a_catalog_that_is_open_to_all() {
        answer_to_a_plain_user(&open_to_all()).is_content();
    }

    #[test]
    fn a_catalog_folder_without_permission_is_named() {
        for mode in [0o000, 0o111, 0o444] {
            let catalog = open_to_all();
            set_mode(catalog.0.path(), mode);
            let answer = answer_to_a_plain_user(&catalog);
            set_mode(catalog.0.path(), 0o755);
            answer.refuses().tells(&["error: ", "cannot be read", "Permission denied"]);
            assert!(answer.err.contains("permissions"), "{}", answer.err);
        }
    }

    #[test]
    fn a_folder_and_a_file_without_permission_are_named_and_the_rest_is_read() {
        let catalog = open_to_all();
        catalog.write("locked/stock.csv", "part,quantity\nP-10,1\n");
        catalog.write("locked-file/stock.csv", "part,quantity\nP-10,1\n");
        catalog.write("other/stock.csv", "part,quantity\nP-10,none\n");
        set_mode(&catalog.path("locked"), 0o000);
        set_mode(&catalog.path("locked-file/stock.csv"), 0o000);
        let answer = answer_to_a_plain_user(&catalog);
        set_mode(&catalog.path("locked"), 0o755);
        answer
            .refuses()
            .tells(&[
                "error: locked: this cannot be read",
                "Permission denied",
                "mend its permissions",
            ])
            .tells(&["error: locked-file/stock.csv: this cannot be read", "Permission denied"])
            .tells(&["error: other/stock.csv:2, column quantity: `none`"]);
    }

    #[test]
    fn a_file_without_permission_is_named_with_what_to_do() {
        let catalog = open_to_all();
        set_mode(&catalog.path("parts.csv"), 0o000);
        answer_to_a_plain_user(&catalog)
            .refuses()
            .tells(&["error: parts.csv: this cannot be read", "mend its permissions"]);
    }

    /// A folder that can be listed but not entered must not look like one that holds nothing.
    #[test]
    fn tables_that_cannot_be_reached_are_not_passed_over_in_silence() {
        let catalog = open_to_all();
        fs::create_dir_all(catalog.path("boat/pump")).expect("folders");
        fs::rename(catalog.path("job_lines.csv"), catalog.path("boat/pump/job_lines.csv"))
            .expect("a file moved");
        answer_to_a_plain_user(&catalog).is_content();
        set_mode(&catalog.path("boat"), 0o444);
        let answer = answer_to_a_plain_user(&catalog);
        set_mode(&catalog.path("boat"), 0o755);
        answer.refuses().tells(&[
            "error: boat/pump: this cannot be read",
            "Permission denied",
            "mend its permissions",
        ]);
    }

    #[test]
    fn a_loop_of_links_is_walked_once() {
        let catalog = Catalog::sound();
        fs::create_dir_all(catalog.path("boat/papers")).expect("folders");
        symlink(catalog.0.path(), catalog.path("boat/papers/all")).expect("a link");
        symlink(".", catalog.path("boat/here")).expect("a link");
        symlink("papers/all/boat", catalog.path("boat/round")).expect("a link");
        let answer = catalog.kit();
        answer.is_content().in_seconds().prints("1  G-20");
        catalog.write("boat/stock.csv", "part,quantity\nP-10,none\n");
        let answer = catalog.ask(["check"]);
        answer.lists(&["boat/stock.csv:2, column quantity: `none`"]);
        assert!(has_one(&answer.out, "`none`"), "{}", answer.out);
    }

    #[test]
    fn a_link_that_leads_nowhere_is_told_of_only_where_it_is_called_a_table() {
        let catalog = Catalog::sound();
        symlink("nowhere", catalog.path("photographs")).expect("a link");
        catalog.kit().is_content();
        fs::remove_file(catalog.path("parts.csv")).expect("the file");
        symlink("nowhere.csv", catalog.path("parts.csv")).expect("a link");
        symlink("stock.csv", catalog.path("stock.csv")).expect("a link");
        catalog.write("suppliers.csv", "supplier,days\npell,soon\n");
        catalog
            .kit()
            .refuses()
            .tells(&["error: parts.csv: this cannot be read", "No such file", "link"])
            .tells(&["error: stock.csv: this cannot be read", "link"])
            .tells(&["error: suppliers.csv:2, column days"]);
    }

    #[test]
    fn a_file_that_is_reached_twice_is_read_once() {
        let catalog = Catalog::sound();
        catalog.write("boat/stock.csv", "part,quantity\nP-10,none\n");
        symlink("boat", catalog.path("ark")).expect("a link");
        symlink("boat/stock.csv", catalog.path("stock.csv")).expect("a link");
        let answer = catalog.ask(["check"]);
        answer.lists(&["boat/stock.csv:2, column quantity: `none`"]);
        assert!(has_one(&answer.out, "`none`"), "{}", answer.out);
    }

    #[test]
    fn what_two_links_lead_to_is_known_by_the_first() {
        let elsewhere = Catalog::empty();
        elsewhere.write("stock.csv", "part,quantity\nP-10,none\n");
        let catalog = Catalog::sound();
        for link in ["ark", "boat", "coble"] {
            symlink(elsewhere.0.path(), catalog.path(link)).expect("a link");
        }
        catalog.ask(["check"]).lists(&["ark/stock.csv:2, column quantity: `none`"]);
    }

    /// Reading a pipe that nobody writes to would wait for ever.
    #[test]
    fn a_pipe_under_the_name_of_a_table_is_refused_and_not_waited_for() {
        let catalog = Catalog::sound();
        let made = Command::new("mkfifo").arg(catalog.path("stock.csv")).status();
        assert!(made.is_ok_and(|status| status.success()), "mkfifo is there");
        catalog.write("suppliers.csv", "supplier,days\npell,soon\n");
        catalog
            .kit()
            .refuses()
            .in_seconds()
            .tells(&["error: stock.csv: "])
            .tells(&["error: suppliers.csv:2, column days"]);
    }

    #[test]
    fn names_of_files_and_folders_need_not_be_utf8() {
        let catalog = Catalog::sound();
        let folder = catalog.0.path().join(OsStr::from_bytes(b"Stra\xDFe"));
        // Some systems keep no such name, and then there is nothing to test.
        if fs::create_dir(&folder).is_err() {
            return;
        }
        fs::write(folder.join("stock.csv"), "part,quantity\nP-10,none\n").expect("a file");
        catalog.ask(["check"]).lists(&["Stra\u{FFFD}e/stock.csv:2, column quantity: `none`"]);
        let mut command = program();
        command.arg("-C").arg(&folder).args(["part", "P-10"]);
        answer_of(command).tells(&["note: 1 row cannot be read"]);
    }

    #[test]
    fn an_argument_that_is_not_utf8_is_refused() {
        let wrong = OsStr::from_bytes(b"sk\xFFff");
        fn plain<'a>(words: &[&'a str]) -> Vec<&'a OsStr> {
            words.iter().map(|word| OsStr::new(*word)).collect()
        }
        for mut arguments in [
            plain(&["kit", "pump", "--on"]),
            plain(&["kit", "--on", "skiff"]),
            plain(&["kit", "pump", "--on", "skiff", "--with"]),
            plain(&["kit", "pump", "--on", "skiff", "--instead"]),
            plain(&["kit", "pump", "--on", "skiff", "--why"]),
            plain(&["part"]),
            plain(&["fits", "P-10"]),
            plain(&["tables"]),
            plain(&["check", "--explain"]),
            plain(&["--color"]),
            plain(&[]),
        ] {
            arguments.push(wrong);
            Catalog::sound().ask(arguments).refuses().tells(&["error:"]);
        }
        let mut nowhere = program();
        nowhere.arg("-C").arg(wrong).arg("check");
        answer_of(nowhere)
            .refuses()
            .tells(&["error: the catalog folder sk\u{FFFD}ff cannot be read"]);
    }

    #[test]
    fn a_folder_that_was_taken_away_is_no_place_to_look_for_a_catalog() {
        let folder = Catalog::empty();
        let mut command = clean(Command::new("sh"));
        command.args([
            "-c",
            "mkdir gone && cd gone && rmdir ../gone && exec \"$0\" check",
            env!("CARGO_BIN_EXE_kitwright"),
        ]);
        command.current_dir(folder.0.path());
        answer_of(command).refuses().tells(&["error: ", "--catalog DIR"]);
    }

    #[test]
    fn a_reader_that_has_seen_enough_is_no_error() {
        let catalog = Catalog::sound();
        for arguments in [
            &["tables", "positions"][..],
            &["tables", "--json"],
            &["--help"],
            &["kit", "pump", "--on", "skiff"],
        ] {
            let (reader, writer) = io::pipe().expect("a pipe");
            drop(reader);
            let mut command = program();
            command.arg("-C").arg(catalog.0.path()).args(arguments).stdout(writer);
            answer_of(command).is_content();
        }
        // A refusal is one still, though nobody hears the reason.
        let (reader, writer) = io::pipe().expect("a pipe");
        drop(reader);
        let mut command = program();
        command.args(["tables", "postions"]).stderr(writer);
        let (status, out, _) = finish(start(&mut command));
        assert_eq!((status, out.len()), (Some(2), 0));
    }

    #[test]
    fn output_that_is_closed_from_the_start_is_no_error() {
        let mut command = clean(Command::new("sh"));
        command.args(["-c", "exec \"$0\" tables positions >&-", env!("CARGO_BIN_EXE_kitwright")]);
        answer_of(command).is_content();
    }

    #[test]
    fn an_answer_that_cannot_be_written_is_an_error() {
        // A device that is always full; where a system has none there is nothing to test.
        let Ok(full) = fs::OpenOptions::new().write(true).open("/dev/full") else { return };
        let mut command = program();
        command.args(["tables", "positions"]).stdout(full);
        answer_of(command).ends(2).tells(&["error: the answer could not be printed"]);
    }
}

/// The library itself, given whatever bytes a file may hold.
mod bytes_at_random {
    use kitwright::catalog::Rows;
    use kitwright::kit::{Ask, audit, work_out};
    use kitwright::measure::{Key, PartNumber};
    use kitwright::tables::{Edit, Tables, check, rewrite};
    use proptest::prelude::*;

    /// Signs that part one thing from another, and bytes that are no text.
    const SIGNS: &[&[u8]] = &[
        b",",
        b",",
        b";",
        b"\t",
        b"\n",
        b"\r\n",
        b"\r",
        b"\"",
        b"\"\"",
        b" ",
        b"\0",
        b"\xFF",
        b"\xC3",
        b"\xEF\xBB\xBF",
    ];

    /// What else a typed table is made of, and what goes wrong in it.
    const WORDS: &str = "# = * - part quantity position machine P-10 skiff pump yes set 0 1 -1 1e400 0,35L 0.0000000000000000000000000001 \
        99999999999999999999999999999 20O4 1999-2003 B1-B9 20N·m;+90° 10h8 7/0in +0.1/-0.1 not as-needed 2004-02-30";

    fn bytes() -> impl Strategy<Value = Vec<u8>> {
        let words = WORDS.split_whitespace().map(str::as_bytes);
        let pieces: Vec<&[u8]> = SIGNS.iter().chain(SIGNS).copied().chain(words).collect();
        let typed = prop::collection::vec(prop::sample::select(pieces), 0..80)
            .prop_map(|pieces| pieces.concat());
        prop_oneof![prop::collection::vec(any::<u8>(), 0..300), typed]
    }

    /// A table with its own header, and cells that are often keys of the others.
    fn table_at(index: usize) -> impl Strategy<Value = (&'static str, Vec<u8>)> {
        const CELLS: &str = "||||a|a|b|c|A|-|a;b|b=a|a=b*1000000000|a=-|a=as-needed|1|3|1000000000|0.5 L|350 ml|100 mm|4 in|set|yes|no|\
            renew|fits|1999|-1998|B1-B9|not EU|gasket|2004-06-30|discontinued|20 N·m|10 h8|together";
        let cells: Vec<&str> = CELLS.split('|').collect();
        let table = &Rows::dictionary()[index];
        let name = table.name;
        let columns: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
        let row = prop::collection::vec(prop::sample::select(cells), columns.len());
        prop::collection::vec(row, 0..8).prop_map(move |rows| {
            let rows: Vec<String> = rows.iter().map(|row| row.join(",")).collect();
            (name, format!("{}\n{}\n", columns.join(","), rows.join("\n")).into_bytes())
        })
    }

    fn read(table: &str, bytes: &[u8]) -> Tables {
        let mut tables = Tables::default();
        tables.read_file(table, format!("{table}.csv"), bytes);
        tables
    }

    /// Asks everything of a catalog that one can ask; only falling over is wrong.
    fn ask_everything(tables: Tables) {
        let report = check(&tables);
        for fault in report.errors.iter().chain(&report.warnings) {
            assert!(
                !fault.file.is_empty() && !fault.code.is_empty() && !fault.message.is_empty(),
                "{fault:?}"
            );
        }
        let catalog = tables.catalog();
        for job in ["a", "b", "c"] {
            let ask = Ask {
                machine: Some(Key::new("a")),
                jobs: vec![Key::new(job)],
                renew: if job == "b" { vec![Key::new("a")] } else { Vec::new() },
                insist: true,
                ..Ask::default()
            };
            if let Ok(kit) = work_out(&ask, &catalog) {
                let _ = audit(&ask, &kit, &catalog);
            }
            if let Some(card) =
                PartNumber::new(job).and_then(|part| kitwright::catalog::Card::of(&part, &catalog))
            {
                let _ = card.to_json();
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_bytes_in_a_table_file_make_it_panic(index in 0..Rows::dictionary().len(), bytes in bytes()) {
            let table = Rows::dictionary()[index].name;
            let tables = read(table, &bytes);
            let lines = bytes.iter().filter(|byte| matches!(byte, b'\n' | b'\r')).count() + 1;
            for fault in tables.faults.iter().chain(&tables.notices) {
                prop_assert!(fault.line as usize <= lines, "{fault}");
            }
            ask_everything(tables);
        }

        #[test]
        fn no_message_is_long_or_holds_a_control_character(index in 0..Rows::dictionary().len(), bytes in bytes()) {
            let tables = read(Rows::dictionary()[index].name, &bytes);
            for fault in tables.faults.iter().chain(&tables.notices) {
                let text = fault.to_string();
                prop_assert!(text.len() < 800 && !text.chars().any(char::is_control), "{text:?}");
            }
        }

        #[test]
        fn no_bytes_under_a_sound_header_make_it_panic(index in 0..Rows::dictionary().len(), bytes in bytes()) {
            let table = &Rows::dictionary()[index];
            let header: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
            let text = [header.join(",").as_bytes(), b"\n", &bytes].concat();
            ask_everything(read(table.name, &text));
        }

        #[test]
        fn no_tables_that_refer_to_each_other_at_random_make_it_panic(
            tables in (0..Rows::dictionary().len()).map(table_at).collect::<Vec<_>>()
        ) {
            let mut read = Tables::default();
            for (table, text) in &tables {
                read.read_file(table, format!("{table}.csv"), text);
            }
            read.read_file("machines", "z/machines.csv".to_owned(), b"machine,model\na,a\n");
            read.read_file("jobs", "z/jobs.csv".to_owned(), b"job\na\nb\nc\n");
            read.read_file("job_lines", "z/job_lines.csv".to_owned(), b"job,position,operation\na,a,a\nb,,b\nc,c,\n");
            ask_everything(read);
        }

        #[test]
        fn no_bytes_and_no_changes_make_a_rewrite_panic(
            bytes in bytes(),
            edits in prop::collection::vec((0..3, 1u32..6, "[a#\",; ]{0,3}"), 0..4),
        ) {
            let edits: Vec<Edit> = edits
                .into_iter()
                .map(|(kind, line, text)| match kind {
                    0 => Edit::Set { line, column: "part".to_owned(), text },
                    1 => Edit::Append { cells: vec![("part".to_owned(), text), ("quantity".to_owned(), "1".to_owned())] },
                    _ => Edit::Remove { line },
                })
                .collect();
            for text in [bytes.clone(), [b"part,quantity\na,1\nb,2\n", bytes.as_slice()].concat()] {
                if let Ok(text) = rewrite("stock", &text, &edits) {
                    ask_everything(read("stock", &text));
                }
            }
        }
    }
}
