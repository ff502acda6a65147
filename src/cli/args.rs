//! The arguments: each command's are one plain value.

use super::proposal::Consent;
use crate::buy::market::Rate;
use crate::catalog::Thing;
use crate::catalog::{Change, Need, Status, Value};
use crate::desk;
use crate::entry::merge::Choice;
use crate::kit::Instead;
use crate::measure::{
    Date, DecimalMark, Gauged, Key, PartNumber, Quantity, Size, Tolerance, parse_decimal,
};
use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use rust_decimal::Decimal;
use std::ffi::OsString;
use std::path::PathBuf;

/// Works out the complete parts kit for a repair on an older machine, from your own tables.
#[derive(Debug, Parser)]
#[command(
    name = "kitwright",
    version,
    max_term_width = 80,
    after_help = "\
The catalog is the folder given with --catalog, else the one named by KITWRIGHT_CATALOG, else the nearest folder
from here upward that holds a machines.csv or a parts.csv.

Exit status: 0 done; 1 nothing found; 2 it could not be done; 3 done, but something stands open."
)]
pub(crate) struct Arguments {
    #[command(flatten)]
    pub catalog: Catalog,
    /// When to use colour; NO_COLOR is honoured.
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto, value_name = "WHEN")]
    color: Colour,
    /// Print one JSON object on standard output, for other programs.
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Command,
}

/// Which catalog to read.
#[derive(Debug, Clone, Args)]
pub(crate) struct Catalog {
    /// The folder that holds the tables.
    #[arg(
        short = 'C',
        long = "catalog",
        global = true,
        value_name = "DIR",
        env = "KITWRIGHT_CATALOG",
        // A blank variable names no folder; the usual parser of paths would refuse it as a missing argument.
        value_parser = OsStringValueParser::new().map(PathBuf::from),
        hide_env_values = true
    )]
    pub folder: Option<PathBuf>,
    /// Whether to answer from the compiled index: auto does so where the tables are large.
    #[arg(long, global = true, value_enum, default_value_t = UseIndex::Auto, value_name = "WHEN", env = "KITWRIGHT_INDEX", hide_env_values = true)]
    pub index: UseIndex,
}

/// When to answer from the compiled index. The answers are the same either way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UseIndex {
    Auto,
    Always,
    Never,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Colour {
    Auto,
    Always,
    Never,
}

impl Arguments {
    pub fn colour(&self) -> anstream::ColorChoice {
        match self.color {
            Colour::Auto => anstream::ColorChoice::Auto,
            Colour::Always => anstream::ColorChoice::Always,
            Colour::Never => anstream::ColorChoice::Never,
        }
    }
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    // In the order of the work: what is asked, ordered, done at the bench, typed in.
    /// Work out everything that a job needs on a machine.
    Kit(KitAsk),
    /// Say whether a part goes to a position of a machine.
    Fits(FitsAsk),
    /// Find parts by number, type, size or words.
    Find(FindAsk),
    /// Find parts of nearly a size.
    Near(NearAsk),
    /// Show what the tables say of a part number.
    Part(PartAsk),
    /// Show what is known of a machine, and where to begin on one without a history.
    State(StateAsk),
    /// Find the jobs that address a symptom, and what remains to look at.
    Symptom(SymptomAsk),
    /// Say which other jobs share the way in, and what of unknown age lies open.
    Also(AlsoAsk),
    /// Match a kit with the shelf, and order the rest for the least total.
    Order(OrderAsk),
    /// Check a parcel off against its order, and book it onto the shelf.
    Receive(ReceiveAsk),
    /// Show what is still to come, and which jobs are now fully on the shelf.
    Waiting(WaitingAsk),
    /// Write the bench sheet of a kit: one page to print, or to read on a phone.
    Sheet(SheetAsk),
    /// Draw the operations of a kit, what they open, and where the new parts go.
    WayIn(WayInAsk),
    /// Log a reading, and say how it stands to its limits.
    Measure(MeasureAsk),
    /// Work out one size, or a hole and its shaft.
    Size(SizeAsk),
    /// Write a job down as done: the log, the shelf, the orders.
    Record(RecordAsk),
    /// Make a new catalog: every table, with remarks that explain it.
    Start(StartAsk),
    /// Add a part, a position, a joint, a job: a row of any table.
    Add(Box<super::add_arguments::AddAsk>),
    /// Take in what another owner shared, or a list into a table.
    Import(ImportAsk),
    /// Put what another owner of the model needs for a job into a folder to pass on.
    Share(ShareAsk),
    /// Change cells of a row.
    Set(SetAsk),
    /// Take a row out of a table.
    Remove(RemoveAsk),
    /// Change a name or a part number wherever it stands.
    Rename(RenameAsk),
    /// Take back the last change that the program made to the tables.
    Undo(UndoAsk),
    /// Look for mistakes in the tables, and for what would leave a kit incomplete.
    Check(CheckAsk),
    /// Show the tables and their columns.
    Tables(TablesAsk),
    /// Read the guide: the tables, the rules, the work at the bench.
    Guide(super::guide::GuideAsk),
    /// Print what makes a shell complete commands, machines, jobs, positions and part numbers.
    Completions(CompletionsAsk),
    /// Print the manual page, or write the pages of all commands.
    Man(ManAsk),
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright completions bash
  kitwright completions zsh
  kitwright completions fish

To have it in every shell, put one of these lines into its start file:
  ~/.bashrc                    source <(kitwright completions bash)
  ~/.zshrc, below compinit     source <(kitwright completions zsh)
  ~/.config/fish/config.fish   kitwright completions fish | source")]
pub(crate) struct CompletionsAsk {
    /// The shell.
    #[arg(value_name = "SHELL", value_enum)]
    pub shell: Shell,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum Shell {
    Bash,
    Zsh,
    Fish,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright man
  kitwright man manual-pages

To read it at once: kitwright man | man -l -")]
pub(crate) struct ManAsk {
    /// Write a page for the program and one for each command into this folder.
    #[arg(value_name = "DIR")]
    pub folder: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright start tractor
  kitwright start --demo demo")]
pub(crate) struct StartAsk {
    /// The folder: a new one, or an empty one.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Put the invented machines of the demo into it.
    #[arg(long)]
    pub demo: bool,
}

/// What a kit is asked of.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The jobs, in one go.
    #[arg(value_name = "JOB")]
    pub jobs: Vec<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: String,
    /// An option of the jobs.
    #[arg(long, value_name = "OPTION")]
    pub with: Vec<String>,
    /// Renew what sits at this position too.
    #[arg(long, value_name = "POSITION", num_args = 1..)]
    pub renew: Vec<String>,
    /// Use the single-use part at this position again, on your own word.
    #[arg(long, value_name = "POSITION", num_args = 1..)]
    pub reuse: Vec<String>,
    /// Put a part of your own choice at a position; POSITION=- leaves it empty.
    #[arg(long, value_name = "POSITION=PART", value_parser = parse_instead)]
    pub instead: Vec<Instead>,
    /// Take the job although it is for other machines.
    #[arg(long)]
    pub insist: bool,
    /// Only what was left out when the jobs were recorded.
    #[arg(long)]
    pub rest: bool,
}

impl From<&Wanted> for desk::Wanted {
    fn from(wanted: &Wanted) -> Self {
        desk::Wanted {
            machine: wanted.on.clone(),
            jobs: wanted.jobs.clone(),
            options: wanted.with.clone(),
            renew: wanted.renew.clone(),
            reuse: wanted.reuse.clone(),
            instead: wanted.instead.clone(),
            insist: wanted.insist,
            rest: wanted.rest,
        }
    }
}

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright sheet cooling-pump --on dinghy --with driveshaft-out -o pump.html")]
pub(crate) struct SheetAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The page to write.
    #[arg(short = 'o', long = "output", value_name = "FILE.html")]
    pub output: PathBuf,
    /// The day of the sheet; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright kit cooling-pump --on dinghy
  kitwright kit cooling-pump annual-service --on dinghy --with driveshaft-out
  kitwright kit --renew pump-liner-seal --on dinghy
  kitwright kit cooling-pump --on dinghy --why 91-2110
  kitwright kit gearcase-seals --on dinghy --compare")]
pub(crate) struct KitAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// Show why a part is on the list, back to the job.
    #[arg(long, value_name = "PART")]
    pub why: Option<String>,
    /// Print the lines as CSV.
    #[arg(long, conflicts_with = "why")]
    pub csv: bool,
    /// Show each set of the jobs' options side by side.
    #[arg(long, conflicts_with_all = ["why", "csv"])]
    pub compare: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright also cooling-pump --on dinghy")]
pub(crate) struct AlsoAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// What one unit of another currency is worth in that of the answer.
    #[arg(long, value_name = "CUR=WORTH", value_parser = parse_rate)]
    pub rate: Vec<Rate>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright way-in cooling-pump --on dinghy -o way-in.svg")]
pub(crate) struct WayInAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The picture to write.
    #[arg(short = 'o', long = "output", value_name = "FILE.svg")]
    pub output: PathBuf,
}

fn parse_instead(text: &str) -> Result<Instead, String> {
    let Some((position, change)) = text.split_once('=') else {
        return Err(
            "write it as POSITION=PART, or POSITION=- to leave the position empty".to_owned()
        );
    };
    if position.trim().is_empty() {
        return Err("name the position before the = sign".to_owned());
    }
    let change =
        Need::change(change.trim(), DecimalMark::Point).map_err(|error| error.to_string())?;
    debug_assert!(!matches!(change, Change::Renew), "only a text without = renews what is there");
    Ok(Instead { position: Key::new(position), change })
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright check
  kitwright check --explain joint-unsealed")]
pub(crate) struct CheckAsk {
    /// Say what a code means and how to mend it; `all` lists them.
    #[arg(long, value_name = "CODE")]
    pub explain: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright part 91-2044
  kitwright part TV-1181-02 --picture history.svg")]
pub(crate) struct PartAsk {
    /// The part number, in any spelling.
    #[arg(value_name = "NUMBER", value_parser = parse_part, allow_hyphen_values = true)]
    pub number: PartNumber,
    /// Draw what it was and became, and where each number may be used.
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright fits TV-1180-03 dinghy
  kitwright fits TV-1180-03 dinghy --at pump-housing")]
pub(crate) struct FitsAsk {
    /// The part number, in any spelling.
    #[arg(value_name = "PART", value_parser = parse_part, allow_hyphen_values = true)]
    pub part: PartNumber,
    /// The machine.
    #[arg(value_name = "MACHINE")]
    pub machine: String,
    /// Only at this position.
    #[arg(long, value_name = "POSITION")]
    pub at: Option<String>,
    /// Draw the sizes of old part, new part and seat to scale.
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,
}

fn parse_part(text: &str) -> Result<PartNumber, String> {
    PartNumber::new(text)
        .ok_or_else(|| "a part number needs at least one letter or digit".to_owned())
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright measure dinghy drive-seal-upper 'shaft diameter' 11.87
  kitwright measure dinghy pump-impeller 'chamber diameter' '1.599 in' --note 'three places, largest taken'")]
pub(crate) struct MeasureAsk {
    /// The machine.
    #[arg(value_name = "MACHINE")]
    pub machine: String,
    /// The position.
    #[arg(value_name = "POSITION")]
    pub position: String,
    /// The feature, as the table seats names it.
    #[arg(value_name = "FEATURE")]
    pub feature: String,
    /// The reading.
    #[arg(value_name = "VALUE", value_parser = parse_reading)]
    pub value: Gauged,
    /// The day it was taken; today without it.
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub date: Option<Date>,
    /// Anything else.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub note: String,
    /// Log it although something about it was questioned.
    #[arg(long)]
    pub accept: bool,
    /// Judge the reading, and do not log it.
    #[arg(long)]
    pub dry_run: bool,
}

fn parse_date(text: &str) -> Result<Date, String> {
    Date::parse(text).map_err(|error| error.to_string())
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright size '25 H7'
  kitwright size '25 H7' --against '25 g6'
  kitwright size '12.00..12.03' --against 11.87
  kitwright size '7/64 in'")]
pub(crate) struct SizeAsk {
    /// The size: 10, 7/64 in, 9.98..10.02, 10 +0.02/-0.01, 10 h8.
    #[arg(value_name = "SIZE", value_parser = parse_size)]
    pub size: Size,
    /// The shaft that goes into it.
    #[arg(long, value_name = "SIZE", value_parser = parse_size)]
    pub against: Option<Size>,
}

fn parse_reading(text: &str) -> Result<Gauged, String> {
    let reading = Gauged::parse(text, DecimalMark::Point).map_err(|error| error.to_string())?;
    if matches!(reading.tolerance(), Tolerance::Class(_)) {
        return Err(
            "a reading is what the gauge shows, such as 11.87, and no tolerance class".to_owned()
        );
    }
    Ok(reading)
}

fn parse_size(text: &str) -> Result<Size, String> {
    Size::parse(text, DecimalMark::Point).map_err(|error| error.to_string())
}

/// Puts behind `--` what a person wants found although it begins with a hyphen, so that any text is a question.
pub(crate) fn with_any_words(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let mut others = arguments.iter().skip(1);
    let command = loop {
        match others.next().map(|argument| argument.to_string_lossy()) {
            Some(option) if matches!(&*option, "-C" | "--catalog" | "--color" | "--index") => {
                let _ = others.next();
            }
            Some(option) if option.starts_with('-') => {}
            other => break other,
        }
    };
    if command.as_deref() != Some("find") || arguments.iter().any(|argument| argument == "--") {
        return arguments;
    }
    let command = Arguments::command();
    let find = command.find_subcommand("find");
    let known: Vec<String> = command
        .get_arguments()
        .chain(find.into_iter().flat_map(clap::Command::get_arguments))
        .flat_map(|argument| {
            let long = argument.get_long().map(|long| format!("--{long}"));
            long.into_iter().chain(argument.get_short().map(|short| format!("-{short}")))
        })
        .chain(["--help", "-h", "--version", "-V"].map(str::to_owned))
        .collect();
    let is_word = |argument: &OsString| {
        let text = argument.to_string_lossy();
        let name = text.split('=').next().unwrap_or_default();
        text.starts_with('-')
            && text.len() > 1
            && !known.iter().any(|known| known == name)
            && !text.starts_with("-C")
    };
    let (words, mut others): (Vec<_>, Vec<_>) = arguments.into_iter().partition(is_word);
    if !words.is_empty() {
        others.push("--".into());
        others.extend(words);
    }
    others
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright find 91-2044
  kitwright find o-ring 62x3
  kitwright find lip seal --on dinghy
  kitwright find --type gasket --status discontinued")]
pub(crate) struct FindAsk {
    /// A number in any spelling or a piece of one, a type, a size, or any words.
    #[arg(value_name = "WORDS", value_parser = OsStringValueParser::new().map(|word| word.to_string_lossy().into_owned()))]
    pub words: Vec<String>,
    /// Only parts of this type, by any of its names.
    #[arg(long = "type", value_name = "TYPE")]
    pub part_type: Option<String>,
    /// Only parts of this size.
    #[arg(long, value_name = "SIZE")]
    pub size: Option<String>,
    /// Only what can sit on this machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// Only what can sit at this position.
    #[arg(long, value_name = "POSITION")]
    pub position: Option<String>,
    /// Only parts that can, or can no longer, be bought.
    #[arg(long, value_name = "STATUS", value_parser = parse_status)]
    pub status: Option<Status>,
    /// How many to show.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub limit: usize,
}

fn parse_status(text: &str) -> Result<Status, String> {
    <Status as Value>::read(text.trim(), DecimalMark::Point).map_err(|error| error.to_string())
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright near 24x3 --type o-ring
  kitwright near '1 x 1/8 in' --type o-ring --within 0.2
  kitwright near 50x2 --type o-ring --on dinghy --at pump-housing-oring")]
pub(crate) struct NearAsk {
    /// The size, such as 24x3, 7/64 in or M6x25.
    #[arg(value_name = "SIZE", num_args = 1.., required = true)]
    pub size: Vec<String>,
    /// The type of part, by any of its names.
    #[arg(long = "type", value_name = "TYPE")]
    pub part_type: String,
    /// How far each length may be off, such as 0.5 or 0.02 in; without it, a tenth of the length.
    #[arg(long, value_name = "TOL", value_parser = parse_length)]
    pub within: Option<Size>,
    /// The machine in whose seat they are to be judged, with --at.
    #[arg(long, value_name = "MACHINE", requires = "at")]
    pub on: Option<String>,
    /// The position whose seat they are to be judged in, with --on.
    #[arg(long, value_name = "POSITION", requires = "on")]
    pub at: Option<String>,
    /// How many to show, of the catalog and of the standards.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub limit: usize,
}

fn parse_length(text: &str) -> Result<Size, String> {
    Size::parse(text, DecimalMark::PointOrComma).map_err(|error| error.to_string())
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright record impeller --on tender --date 2026-11-20 --hours 240
  kitwright record cooling-pump --on dinghy --hours 415 --except pump-plate-gasket
  kitwright record annual-service --on dinghy --hours 420 --found 'oil clean' --used 90-6001=5g

What will be written is shown first. kitwright undo takes it back.")]
// What is asked of a kit beforehand is told of it afterwards.
#[command(
    mut_arg("instead", |arg| arg.help("This number was fitted; POSITION=- was left empty")),
    mut_arg("renew", |arg| arg.help("What sits at this position was renewed too, as an inspected part that was worn")),
    mut_arg("reuse", |arg| arg.help("The single-use part at this position went back in"))
)]
pub(crate) struct RecordAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The day it was done; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
    /// The hours that the machine had run.
    #[arg(long, value_name = "HOURS", value_parser = parse_number)]
    pub hours: Option<Decimal>,
    /// This position was left as it was, for later, or this operation was not carried out.
    #[arg(long, value_name = "POSITION", num_args = 1..)]
    pub except: Vec<String>,
    /// This position was looked at and left in; all is every one that the kit inspects.
    #[arg(long, value_name = "POSITION", num_args = 1..)]
    pub inspected: Vec<String>,
    /// What was found.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub found: String,
    /// So much of this was used up by the work, where the kit does not say or says otherwise.
    #[arg(long, value_name = "PART=QTY", value_parser = parse_arrival)]
    pub used: Vec<(PartNumber, Quantity)>,
    /// Put what is left over of the sets into this bin of the stock.
    #[arg(long, value_name = "BIN")]
    pub rest_to: Option<String>,
    /// Leave the job's order lines open that are still to come.
    #[arg(long)]
    pub leave_waiting: bool,
    /// Record it although something about it was questioned.
    #[arg(long)]
    pub accept: bool,
    #[command(flatten)]
    pub consent: Consent,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright state dinghy
  kitwright state dinghy --unknown")]
pub(crate) struct StateAsk {
    /// The machine.
    #[arg(value_name = "MACHINE")]
    pub machine: String,
    /// Plan where to begin: the jobs that settle the most unknown positions for the least work.
    #[arg(long)]
    pub unknown: bool,
    /// The day for which it is said; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright symptom water in gear oil --on dinghy")]
pub(crate) struct SymptomAsk {
    /// The symptom, in your own words.
    #[arg(value_name = "WORDS", required = true)]
    pub words: Vec<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: String,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright undo
  kitwright undo --list

What is needed for it is kept as plain files in .kitwright-undo in the catalog folder.")]
pub(crate) struct UndoAsk {
    /// List the changes that can be taken back.
    #[arg(long, conflicts_with_all = ["yes", "dry_run"])]
    pub list: bool,
    /// Settle a change that was cut short and could not be finished, or that came with a copied folder.
    #[arg(long, value_enum, value_name = "HOW", num_args = 0..=1, default_missing_value = "show", conflicts_with = "list")]
    pub cut_short: Option<CutShortAsk>,
    #[command(flatten)]
    pub consent: Consent,
}

/// What is to become of a change that waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum CutShortAsk {
    /// Show it.
    Show,
    /// Carry out what is left of it.
    Finish,
    /// Forget it; the tables stay as they are.
    Drop,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright set parts 91-2110 material=NBR --dry-run
  kitwright set machines dinghy hours=412 'note=new impeller in May' --yes
  kitwright set dimensions 91-2110 'size=2 ±0.1' --where feature=section --yes

Nothing is written before you have seen what changes. A blank VALUE makes the cell blank; the names of a list may be
typed with commas, as in 'needs=cowl-off, pump-off'.")]
pub(crate) struct SetAsk {
    /// The table.
    #[arg(value_name = "TABLE")]
    pub table: String,
    /// The name or part number that the row is about.
    #[arg(value_name = "KEY", allow_hyphen_values = true)]
    pub key: String,
    /// The cells.
    #[arg(value_name = "COLUMN=VALUE", required = true, value_parser = parse_cell)]
    pub cells: Vec<(String, String)>,
    #[command(flatten)]
    pub which: WhichRow,
    #[command(flatten)]
    pub consent: Consent,
}

/// Which of several rows about one thing is meant.
#[derive(Debug, Args)]
pub(crate) struct WhichRow {
    /// Only the row of which this cell says so.
    #[arg(long = "where", value_name = "COLUMN=VALUE", value_parser = parse_cell)]
    pub only_where: Vec<(String, String)>,
    /// Only the row that begins on this line.
    #[arg(long, value_name = "FILE:LINE", value_parser = parse_place)]
    pub line: Option<(String, u32)>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright remove stock 91-2109 --dry-run
  kitwright remove dimensions 91-2110 --where feature=section --yes")]
pub(crate) struct RemoveAsk {
    /// The table.
    #[arg(value_name = "TABLE")]
    pub table: String,
    /// The name or part number that the row is about.
    #[arg(value_name = "KEY", allow_hyphen_values = true)]
    pub key: String,
    #[command(flatten)]
    pub which: WhichRow,
    #[command(flatten)]
    pub consent: Consent,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright rename part 91-2110 91-2110-A --dry-run
  kitwright rename position pump-screws pump-cover-screws --yes
  kitwright rename machine dinghy 'harbour dinghy' --yes

Every table is changed, in lists and in front of quantities too, whatever the spelling. A name that is there already is
refused.")]
pub(crate) struct RenameAsk {
    /// What it names: part, position, joint, operation, job, machine, model, supplier, type, caution, order, trait or
    /// option.
    #[arg(value_name = "WHAT", value_parser = parse_thing)]
    pub what: Thing,
    /// The name or number as it is.
    #[arg(value_name = "OLD", allow_hyphen_values = true)]
    pub old: String,
    /// As it is to be.
    #[arg(value_name = "NEW", allow_hyphen_values = true)]
    pub new: String,
    #[command(flatten)]
    pub consent: Consent,
}

fn parse_cell(text: &str) -> Result<(String, String), String> {
    let cell = text.split_once('=').filter(|(column, _)| !column.trim().is_empty());
    cell.map(|(column, value)| (column.trim().to_lowercase(), value.trim().to_owned()))
        .ok_or_else(|| "write it as COLUMN=VALUE, such as material=NBR".to_owned())
}

fn parse_place(text: &str) -> Result<(String, u32), String> {
    let place = text
        .rsplit_once(':')
        .and_then(|(file, line)| Some((file.to_owned(), line.trim().parse().ok()?)));
    place.ok_or_else(|| "write it as FILE:LINE, such as positions.csv:12".to_owned())
}

fn parse_thing(text: &str) -> Result<Thing, String> {
    Thing::from_word(text.trim()).ok_or_else(|| {
        let words: Vec<&str> = Thing::ALL.iter().map(|thing| thing.word()).collect();
        format!("name one of: {}", words.join(", "))
    })
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright share cooling-pump -o ../pump-for-a-friend
  kitwright share gearcase-seals impeller --on dinghy -o ../seals-for-a-friend

Your machines, stock, prices, orders, log and readings stay with you, and so do columns of your own. Notes and sources
go along as you typed them.")]
pub(crate) struct ShareAsk {
    /// The jobs.
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<String>,
    /// The folder: a new one, or an empty one, outside the catalog.
    #[arg(short, long, value_name = "DIR")]
    pub output: PathBuf,
    /// Only for the model of this machine; else for every model that the jobs are for.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright import ../pump-from-a-friend --dry-run
  kitwright import ../pump-from-a-friend --yes
  kitwright import ../pump-from-a-friend --choose parts:91-2110=theirs --yes

Rows that you have are passed over and new ones are added. Where theirs say something else nothing of yours is changed
unless you choose so.

  kitwright import pump-parts.txt --into parts
  kitwright import prices.csv --into offers --all supplier=brackwater --map 'E-Preis=price'
  kitwright import figure-4.csv --into positions --all model=K3 --dry-run

A list may be CSV with any delimiter, or text in columns of spaces. Its columns are told by their names and by what stands
in them; what you settle is remembered for lists with the same header line, in .kitwright-columns.csv.")]
pub(crate) struct ImportAsk {
    /// The folder that was shared; or a list, with --into.
    #[arg(value_name = "DIR or FILE")]
    pub from: PathBuf,
    #[command(flatten)]
    pub choices: Choices,
    #[command(flatten)]
    pub list: ListAsk,
    #[command(flatten)]
    pub consent: Consent,
}

/// How a list is to be read.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Of a list")]
pub(crate) struct ListAsk {
    /// The table that takes the list.
    #[arg(long, value_name = "TABLE", conflicts_with_all = ["mine", "theirs", "choose"])]
    pub into: Option<String>,
    /// Which of its columns is which of ours; THEIRS=- leaves it out.
    #[arg(long, value_name = "THEIRS=OURS", value_parser = parse_pair, requires = "into")]
    pub map: Vec<(String, String)>,
    /// A cell that is the same for every row, where the list says nothing.
    #[arg(long, value_name = "OURS=CELL", value_parser = parse_pair, requires = "into")]
    pub all: Vec<(String, String)>,
    /// Let the list's cells take the place of yours where they differ.
    #[arg(long, requires = "into")]
    pub overwrite: bool,
}

fn parse_pair(text: &str) -> Result<(String, String), String> {
    let pair = text
        .rsplit_once('=')
        .map(|(left, right)| (left.trim().to_owned(), right.trim().to_owned()));
    pair.filter(|(left, _)| !left.is_empty())
        .ok_or_else(|| "write both sides with a = between them".to_owned())
}

/// Whose rows are to stand where another owner's say something else.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct Choices {
    /// Where they differ, keep your rows.
    #[arg(long, conflicts_with = "theirs")]
    pub mine: bool,
    /// Where they differ, take their rows in place of yours.
    #[arg(long)]
    pub theirs: bool,
    /// Choose for one name or number: mine, theirs, or both where both can stand.
    #[arg(long, value_name = "TABLE:KEY=WHICH", value_parser = parse_choice)]
    pub choose: Vec<(String, String, Choice)>,
}

fn parse_choice(text: &str) -> Result<(String, String, Choice), String> {
    let parts =
        text.split_once(':').and_then(|(table, rest)| Some((table, rest.rsplit_once('=')?)));
    let choice = |word: &str| match word.trim().to_lowercase().as_str() {
        "mine" => Some(Choice::Mine),
        "theirs" => Some(Choice::Theirs),
        "both" => Some(Choice::Both),
        _ => None,
    };
    parts
        .and_then(|(table, (key, word))| {
            Some((table.trim().to_lowercase(), key.trim().to_owned(), choice(word)?))
        })
        .ok_or_else(|| {
            "write it as TABLE:KEY=mine, =theirs or =both, such as parts:91-2044=theirs".to_owned()
        })
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright tables
  kitwright tables positions")]
pub(crate) struct TablesAsk {
    /// One table; without it, all of them in a line each.
    #[arg(value_name = "TABLE")]
    pub table: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright order cooling-pump --on dinghy
  kitwright order cooling-pump thermostat --on dinghy --max-days 5 --compare
  kitwright order gearcase-seals --on dinghy --hold TV-1490-00
  kitwright order annual-service --on dinghy --csv parcels --place")]
pub(crate) struct OrderAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// Leave out suppliers that take longer.
    #[arg(long, value_name = "DAYS", value_parser = parse_number)]
    pub max_days: Option<Decimal>,
    /// Order from this supplier only; name several to choose among them.
    #[arg(long, value_name = "SUPPLIER")]
    pub only: Vec<String>,
    /// Do not order from this supplier.
    #[arg(long, value_name = "SUPPLIER")]
    pub without: Vec<String>,
    /// Order from no more suppliers than this.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub at_most: Option<u16>,
    /// You hold this part or set, beside what the table stock names.
    #[arg(long, value_name = "PART[=QTY]", value_parser = parse_amount_of)]
    pub hold: Vec<(PartNumber, Option<Quantity>)>,
    /// Leave on the shelf what this other job will need of it, though no order was placed for it.
    #[arg(long, value_name = "JOB[@MACHINE]")]
    pub keep_for: Vec<String>,
    /// Plan as well what to order should every inspected part turn out to be worn.
    #[arg(long)]
    pub ready_if_worn: bool,
    /// What one unit of another currency is worth in that of the answer.
    #[arg(long, value_name = "CUR=WORTH", value_parser = parse_rate)]
    pub rate: Vec<Rate>,
    /// Show what it would cost with fewer suppliers, or what they lack, and without sets.
    #[arg(long)]
    pub compare: bool,
    /// Write a CSV file for each supplier into this folder.
    #[arg(long, value_name = "DIR")]
    pub csv: Option<PathBuf>,
    /// Print a text for each supplier to paste into a message.
    #[arg(long, conflicts_with_all = ["json", "compare"])]
    pub message: bool,
    /// Write the orders down in the table orders.
    #[arg(long)]
    pub place: bool,
    /// The day of the order; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
    /// Take the best plan found after so many seconds, proven or not.
    #[arg(long, value_name = "SECONDS", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..))]
    pub patience: u32,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright receive 2026-01                     all that was still to come
  kitwright receive 2026-01 91-3142=1           so many came so far
  kitwright receive 2026-01 --short 91-3142=1   all, but of this part only one
  kitwright receive 2026-01 --slip L-4711       all, with delivery note L-4711
  kitwright receive 2026-01 94-1011=2 90-5001=250ml")]
pub(crate) struct ReceiveAsk {
    /// The order, as the table orders names it.
    #[arg(value_name = "ORDER")]
    pub order: String,
    /// What came: pieces or an amount with its unit, not packs.
    #[arg(value_name = "PART=QTY", value_parser = parse_arrival)]
    pub items: Vec<(PartNumber, Quantity)>,
    /// Of this part only so much came (0 for none of it); all the rest that was still to come did. May be given several times.
    #[arg(long, value_name = "PART=QTY", value_parser = parse_arrival, conflicts_with = "items")]
    pub short: Vec<(PartNumber, Quantity)>,
    /// Where it goes on the shelf; else a bin named after the order.
    #[arg(long, value_name = "BIN")]
    pub bin: Option<String>,
    /// The number of the delivery note, which tells one part delivery from another.
    #[arg(long, value_name = "NUMBER", default_value = "", hide_default_value = true)]
    pub slip: String,
    /// Book it although something about it was questioned.
    #[arg(long)]
    pub accept: bool,
    /// What has not come by now will not come.
    #[arg(long)]
    pub no_more: bool,
    /// The day; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright waiting")]
pub(crate) struct WaitingAsk {
    /// The day from which a delivery is late; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

fn parse_number(text: &str) -> Result<Decimal, String> {
    parse_decimal(text, DecimalMark::Point)
        .filter(|n| *n >= Decimal::ZERO)
        .ok_or_else(|| "type a plain number".to_owned())
}

fn parse_day(text: &str) -> Result<Date, String> {
    Date::parse(text).map_err(|error| error.to_string())
}

fn parse_amount_of(text: &str) -> Result<(PartNumber, Option<Quantity>), String> {
    let Some((part, amount)) = text.split_once('=') else { return Ok((parse_part(text)?, None)) };
    let amount = Quantity::parse(amount, DecimalMark::Point).map_err(|error| error.to_string())?;
    Ok((parse_part(part)?, Some(amount)))
}

fn parse_arrival(text: &str) -> Result<(PartNumber, Quantity), String> {
    let Some((part, amount)) = text.split_once('=') else {
        return Err("write it as PART=QTY, such as 91-2304=10 or 90-5001=250ml".to_owned());
    };
    let amount =
        Quantity::parse_or_zero(amount, DecimalMark::Point).map_err(|error| error.to_string())?;
    Ok((parse_part(part)?, amount))
}

fn parse_rate(text: &str) -> Result<Rate, String> {
    let rate = text.split_once('=').and_then(|(currency, worth)| {
        let worth =
            parse_decimal(worth, DecimalMark::Point).filter(|worth| *worth > Decimal::ZERO)?;
        Some(Rate { currency: currency.trim().to_owned(), worth })
    });
    rate.ok_or_else(|| "write it as CUR=WORTH, such as USD=0.92".to_owned())
}
