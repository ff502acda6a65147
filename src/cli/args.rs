//! The arguments: each command's are one plain value.

use crate::catalog::{Change, Need};
use crate::kit::Instead;
use crate::measure::{Date, DecimalMark, Key, PartNumber, Size};
use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
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
    /// Work out everything that a job needs on a machine.
    Kit(KitAsk),
    /// Look for mistakes in the tables, and for what would leave a kit incomplete.
    Check(CheckAsk),
    /// Show what the tables say of a part number.
    Part(PartAsk),
    /// Say whether a part goes to a position of a machine.
    Fits(FitsAsk),
    /// Log a reading, and say how it stands to its limits.
    Measure(MeasureAsk),
    /// Work out one size, or a hole and its shaft.
    Size(SizeAsk),
    /// Show the tables and their columns.
    Tables(TablesAsk),
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright kit cooling-pump --on dinghy
  kitwright kit cooling-pump annual-service --on dinghy --with driveshaft-out
  kitwright kit --renew pump-liner-seal --on dinghy
  kitwright kit cooling-pump --on dinghy --why 91-2110")]
pub(crate) struct KitAsk {
    /// The jobs to do in one go.
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
    /// Work the job out although it is for other machines.
    #[arg(long)]
    pub insist: bool,
    /// Show why a part is on the list, back to the job.
    #[arg(long, value_name = "PART")]
    pub why: Option<String>,
    /// Print the lines as CSV.
    #[arg(long, conflicts_with = "why")]
    pub csv: bool,
}

fn parse_instead(text: &str) -> Result<Instead, String> {
    let Some((position, change)) = text.split_once('=') else {
        return Err("write it as POSITION=PART, or POSITION=- to leave the position empty".to_owned());
    };
    if position.trim().is_empty() {
        return Err("name the position before the = sign".to_owned());
    }
    let change = Need::change(change.trim(), DecimalMark::Point).map_err(|error| error.to_string())?;
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
Example:
  kitwright part 91-2044")]
pub(crate) struct PartAsk {
    /// The part number, in any spelling.
    #[arg(value_name = "NUMBER", value_parser = parse_part, allow_hyphen_values = true)]
    pub number: PartNumber,
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
    PartNumber::new(text).ok_or_else(|| "a part number needs at least one letter or digit".to_owned())
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
    #[arg(value_name = "VALUE", value_parser = parse_size)]
    pub value: Size,
    /// The day it was taken; today without it.
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub date: Option<Date>,
    /// Anything else.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub note: String,
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

fn parse_size(text: &str) -> Result<Size, String> {
    Size::parse(text, DecimalMark::Point).map_err(|error| error.to_string())
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
