//! The arguments: each command's are one plain value.

use super::proposal::Consent;
use crate::buy::market::Rate;
use crate::catalog::{Change, Need};
use crate::kit::{Ask, Instead};
use crate::measure::{Date, DecimalMark, Key, PartNumber, Quantity, Size, parse_decimal};
use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use rust_decimal::Decimal;
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
    /// Match a kit with the shelf, and order the rest for the least total.
    Order(OrderAsk),
    /// Check a parcel off against its order, and book it onto the shelf.
    Receive(ReceiveAsk),
    /// Show what is still to come, and which jobs are now fully on the shelf.
    Waiting(WaitingAsk),
    /// Take back the last change that the program made to the tables.
    Undo(UndoAsk),
    /// Write the bench sheet of a kit: one page to print, or to read on a phone.
    Sheet(SheetAsk),
    /// Say which other jobs share the way in, and what of unknown age lies open.
    Also(AlsoAsk),
    /// Draw the operations of a kit, what they open, and where the new parts go.
    WayIn(WayInAsk),
    /// Show the tables and their columns.
    Tables(TablesAsk),
}

/// What a kit is asked of.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
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
}

impl Wanted {
    pub fn ask(&self) -> Ask {
        let keys = |names: &[String]| names.iter().map(|name| Key::new(name)).collect();
        Ask {
            machine: Some(Key::new(&self.on)),
            jobs: keys(&self.jobs),
            options: keys(&self.with),
            renew: keys(&self.renew),
            reuse: keys(&self.reuse),
            instead: self.instead.clone(),
            insist: self.insist,
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
  kitwright undo
  kitwright undo --list

What is needed for it is kept as plain files in .kitwright-undo in the catalog folder.")]
pub(crate) struct UndoAsk {
    /// List the changes that can be taken back.
    #[arg(long, conflicts_with_all = ["yes", "dry_run"])]
    pub list: bool,
    #[command(flatten)]
    pub consent: Consent,
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
    /// Leave on the shelf what this other job will need of it.
    #[arg(long, value_name = "JOB[@MACHINE]")]
    pub keep_for: Vec<String>,
    /// Plan as well what to order should every inspected part turn out to be worn.
    #[arg(long)]
    pub ready_if_worn: bool,
    /// What one unit of another currency is worth in that of the answer.
    #[arg(long, value_name = "CUR=WORTH", value_parser = parse_rate)]
    pub rate: Vec<Rate>,
    /// Show what it would cost with fewer suppliers, and without sets.
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
  kitwright receive 2026-01 91-2304=8           eight came in this parcel
  kitwright receive 2026-01 --slip L-4711       all, with delivery note L-4711
  kitwright receive 2026-01 TV-1181-02=1 90-5001=250ml")]
pub(crate) struct ReceiveAsk {
    /// The order, as the table orders names it.
    #[arg(value_name = "ORDER")]
    pub order: String,
    /// What came: pieces or an amount with its unit, not packs.
    #[arg(value_name = "PART=QTY", value_parser = parse_arrival)]
    pub items: Vec<(PartNumber, Quantity)>,
    /// Where it goes on the shelf; else a bin named after the order.
    #[arg(long, value_name = "BIN")]
    pub bin: Option<String>,
    /// The number of the delivery note, which tells one part delivery from another.
    #[arg(long, value_name = "NUMBER", default_value = "")]
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
    let amount = Quantity::parse_or_zero(amount, DecimalMark::Point).map_err(|error| error.to_string())?;
    Ok((parse_part(part)?, amount))
}

fn parse_rate(text: &str) -> Result<Rate, String> {
    let rate = text.split_once('=').and_then(|(currency, worth)| {
        let worth = parse_decimal(worth, DecimalMark::Point).filter(|worth| *worth > Decimal::ZERO)?;
        Some(Rate { currency: currency.trim().to_owned(), worth })
    });
    rate.ok_or_else(|| "write it as CUR=WORTH, such as USD=0.92".to_owned())
}
