//! The arguments: each command's are one plain value.

use crate::buy::market::Rate;
use crate::catalog::{Change, Lookup, Need};
use crate::desk;
use crate::kit::{Instead, Refusal};
use crate::measure::{Date, DecimalMark, Key, PartNumber, Quantity, parse_decimal};
use clap::builder::OsStringValueParser;
use clap::builder::TypedValueParser as _;
use clap::{Args, CommandFactory as _, Parser, Subcommand, ValueEnum};
use rust_decimal::Decimal;
use std::path::PathBuf;

/// Works out the complete parts kit for a repair on an older machine, from your own tables.
#[derive(Debug, Parser)]
#[command(
    name = "kitwright",
    version,
    max_term_width = 80,
    disable_help_subcommand = true,
    after_help = "\
Without a command, inside a catalog: what is due, what is on order and what to do next.

The catalog is the folder given with --catalog, else the one named by KITWRIGHT_CATALOG, else the nearest folder
from here upward that holds a machines.csv or a parts.csv.

Exit status: 0 done; 1 nothing found; 2 it could not be done; 3 done, but with gaps."
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
    /// Print at once, not page by page.
    #[arg(long, global = true)]
    pub no_pager: bool,
    #[command(subcommand)]
    pub command: Option<Command>,
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
    // Look.
    /// List the machines.
    Machines(super::machines::MachinesAsk),
    /// List the jobs; with --for, those that address a symptom, and what is left to look at.
    Jobs(super::jobs::JobsAsk),
    /// Find parts by number, type, size or words.
    Find(super::find::FindAsk),
    /// Show all that is written of a part number.
    Part(super::part::PartAsk),
    /// Show what sits on a machine, what is due or worn, and what was done.
    #[command(alias = "history")]
    State(super::state::StateAsk),
    // Plan.
    /// List everything that a job needs on a machine.
    Kit(super::kit::KitAsk),
    /// Say whether a part fits a machine.
    Fits(super::fits::FitsAsk),
    /// List what else to do while the machine is apart.
    #[command(alias = "also")]
    WhileIn(super::while_in::AlsoAsk),
    /// Write the bench sheet: pages to print, or to read on a phone.
    Sheet(super::sheet::SheetAsk),
    /// Draw the steps of a job, what they open, and where the new parts go.
    #[command(alias = "way-in")]
    Draw(super::draw::WayInAsk),
    // Buy.
    /// Take what is on the shelf, and order the rest for the least money.
    Order(super::order::OrderAsk),
    /// List what is on order, and which jobs have all their parts.
    #[command(alias = "waiting")]
    Orders(super::orders::WaitingAsk),
    /// Check a parcel in, and put it on the shelf.
    Receive(super::receive::ReceiveAsk),
    // Work.
    /// Log a reading, and compare it with its limits.
    Measure(super::measure::MeasureAsk),
    /// Work out one size, or the clearance between a hole and a shaft.
    Size(super::size::SizeAsk),
    /// Log a job as done: what was fitted, what was used up.
    Record(super::record::RecordAsk),
    // Catalog.
    /// Make a new catalog: every table, with remarks that explain it.
    Start(super::start::StartAsk),
    /// Add a part, a position, a joint, a job: a row of any table.
    Add(Box<super::add_arguments::AddAsk>),
    /// Change cells of a row.
    #[command(alias = "set")]
    Change(super::change::SetAsk),
    /// Remove a row from a table.
    Remove(super::change::RemoveAsk),
    /// Change a name or a part number everywhere.
    Rename(super::change::RenameAsk),
    /// Take back the last change to the tables.
    Undo(super::undo::UndoAsk),
    /// Look for mistakes in the tables.
    Check(super::check::CheckAsk),
    /// Show the tables and their columns.
    #[command(alias = "tables")]
    Columns(super::columns::TablesAsk),
    /// Read in a list, or what another owner shared.
    Import(super::import::ImportAsk),
    /// Copy what a job needs into a folder for another owner.
    Share(super::share::ShareAsk),
    /// Read the guide.
    Guide(super::guide::GuideAsk),
    /// Set up your shell to complete commands, machines, jobs and part numbers.
    Completions(super::completions::CompletionsAsk),
    /// Print the manual page, or write the pages of all commands.
    Man(super::man::ManAsk),
    // Names that commands had before.
    /// Find parts of nearly a size: find --near.
    #[command(hide = true)]
    Near(super::find::NearAsk),
    /// Find the jobs for a symptom: jobs --for.
    #[command(hide = true)]
    Symptom(super::jobs::SymptomAsk),
}

/// The commands as the help lists them.
pub(crate) const GROUPS: [(&str, &[&str]); 5] = [
    ("Look", &["machines", "jobs", "find", "part", "state"]),
    ("Plan", &["kit", "fits", "while-in", "sheet", "draw"]),
    ("Buy", &["order", "orders", "receive"]),
    ("Work", &["measure", "size", "record"]),
    (
        "Catalog",
        &[
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
        ],
    ),
];

/// The arguments, with the commands in groups.
pub(crate) fn command() -> clap::Command {
    let command = Arguments::command();
    let mut groups = String::new();
    for (group, names) in GROUPS {
        groups.push_str(&format!("\n{group}:\n"));
        for name in names {
            let about = command.find_subcommand(name).and_then(clap::Command::get_about);
            let about = about.map(ToString::to_string).unwrap_or_default();
            groups.push_str(&format!("  {name:<12} {about}\n"));
        }
    }
    command.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n{groups}\nOptions:\n{{options}}{{after-help}}"
    ))
}

/// What a kit is asked of.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The jobs; the machine may stand behind them.
    #[arg(value_name = "JOB")]
    pub jobs: Vec<String>,
    /// The machine; without it KITWRIGHT_ON, or the only machine of the catalog.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// An option of the jobs. Repeat it for more.
    #[arg(long = "option", alias = "with", value_name = "OPTION")]
    pub options: Vec<String>,
    /// Replace the part at this position too. Repeat it for more.
    #[arg(long, value_name = "POSITION")]
    pub renew: Vec<String>,
    /// Use the single-use part at this position again. Repeat it for more.
    #[arg(long, value_name = "POSITION")]
    pub reuse: Vec<String>,
    /// Fit a part of your own choice at a position; POSITION=- leaves it empty.
    #[arg(long, value_name = "POSITION=PART", value_parser = parse_instead)]
    pub instead: Vec<Instead>,
    /// Do it although the job is for other machines, or something was questioned.
    #[arg(long, alias = "insist")]
    pub force: bool,
    /// Only what was left out when the jobs were recorded.
    #[arg(long)]
    pub rest: bool,
}

impl From<&Wanted> for desk::Wanted {
    fn from(wanted: &Wanted) -> Self {
        desk::Wanted {
            machine: wanted.on.clone(),
            default_machine: default_machine(),
            jobs: wanted.jobs.clone(),
            options: wanted.options.clone(),
            renew: wanted.renew.clone(),
            reuse: wanted.reuse.clone(),
            instead: wanted.instead.clone(),
            insist: wanted.force,
            rest: wanted.rest,
        }
    }
}

/// The machine that KITWRIGHT_ON names, for whoever has several and works on one.
pub(crate) fn default_machine() -> Option<String> {
    std::env::var("KITWRIGHT_ON").ok().filter(|machine| !machine.trim().is_empty())
}

/// The machine that is meant where this one is named, or none.
pub(crate) fn machine_meant(named: Option<&String>, lookup: &dyn Lookup) -> Result<Key, Refusal> {
    desk::machine_of(named.map(String::as_str), default_machine().as_deref(), lookup)
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

pub(crate) fn parse_part(text: &str) -> Result<PartNumber, String> {
    PartNumber::new(text)
        .ok_or_else(|| "a part number needs at least one letter or digit".to_owned())
}

pub(crate) fn parse_number(text: &str) -> Result<Decimal, String> {
    parse_decimal(text, DecimalMark::Point)
        .filter(|n| *n >= Decimal::ZERO)
        .ok_or_else(|| "type a plain number".to_owned())
}

pub(crate) fn parse_day(text: &str) -> Result<Date, String> {
    Date::parse(text).map_err(|error| error.to_string())
}

pub(crate) fn parse_arrival(text: &str) -> Result<(PartNumber, Quantity), String> {
    let Some((part, amount)) = text.split_once('=') else {
        return Err("write it as PART=QTY, such as 91-2304=10 or 90-5001=250ml".to_owned());
    };
    let amount =
        Quantity::parse_or_zero(amount, DecimalMark::Point).map_err(|error| error.to_string())?;
    Ok((parse_part(part)?, amount))
}

pub(crate) fn parse_rate(text: &str) -> Result<Rate, String> {
    let rate = text.split_once('=').and_then(|(currency, worth)| {
        let worth =
            parse_decimal(worth, DecimalMark::Point).filter(|worth| *worth > Decimal::ZERO)?;
        Some(Rate { currency: currency.trim().to_owned(), worth })
    });
    rate.ok_or_else(|| "write it as CUR=WORTH, such as USD=0.92".to_owned())
}
