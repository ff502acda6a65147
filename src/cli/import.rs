//! The command `import`: what another owner shared, or a list.

mod folder;
mod list;

use super::Answer;
use super::args::Catalog;
use super::proposal::Consent;
use crate::entry::merge::Choice;
use clap::Args;
use std::path::PathBuf;

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

pub(crate) fn run(catalog: &Catalog, ask: &ImportAsk, json: bool) -> anyhow::Result<Answer> {
    if ask.list.into.is_some() || ask.from.is_file() {
        list::run(catalog, &ask.from, &ask.list, ask.consent, json)
    } else {
        folder::run(catalog, &ask.from, &ask.choices, ask.consent, json)
    }
}
