//! Whose limits: whether a row applies, to the machine or to the machine as an assembly of it has it.

use super::cells::{Key, Row, cell, key, list};

/// Whether a row applies to the machine (tables page, scope columns).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Applies {
    Yes,
    Unsure,
    No,
}

/// `B1200`: a prefix, the last run of digits, a suffix.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Serial {
    prefix: String,
    number: u128,
    suffix: String,
}

impl Serial {
    /// The prefix is everything before the last run of digits, the suffix everything after it, compared without case and spaces.
    pub fn read(text: &str) -> Option<Serial> {
        let text: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
        let end = text.rfind(|c: char| c.is_ascii_digit())? + 1;
        let start = text[..end]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
        Some(Serial {
            prefix: text[..start].to_string(),
            number: text[start..end].parse().ok()?,
            suffix: text[end..].to_string(),
        })
    }

    /// Serials with an unlike prefix or suffix cannot be compared.
    fn compare(&self, other: &Serial) -> Option<std::cmp::Ordering> {
        let alike = self.prefix == other.prefix && self.suffix == other.suffix;
        alike.then(|| self.number.cmp(&other.number))
    }
}

/// From one to another, both included; an open end has no limit.
type Range<T> = (Option<T>, Option<T>);

fn ends(item: &str) -> (String, String) {
    let item = item.trim();
    let parted = item.split_once("..").or_else(|| item.split_once('-'));
    match parted {
        None => (item.to_string(), item.to_string()),
        Some((from, to)) => (from.trim().to_string(), to.trim().to_string()),
    }
}

fn ranges<T>(text: &str, read: impl Fn(&str) -> Option<T>) -> Option<Vec<Range<T>>> {
    let mut ranges = Vec::new();
    for item in list(text) {
        let (from, to) = ends(item);
        if from.is_empty() && to.is_empty() {
            return None;
        }
        let end = |text: &str| -> Option<Option<T>> {
            if text.is_empty() { Some(None) } else { read(text).map(Some) }
        };
        ranges.push((end(&from)?, end(&to)?));
    }
    Some(ranges)
}

fn year(text: &str) -> Option<i32> {
    let is_year = text.len() == 4 && text.chars().all(|c| c.is_ascii_digit());
    if is_year { text.parse().ok() } else { None }
}

/// A trait, and whether `not` stands before it. Traits compare without case, spaces and hyphens.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Trait {
    is_not: bool,
    name: String,
}

impl Trait {
    fn read(text: &str) -> Trait {
        let text = key(text);
        let (is_not, name) = match text.strip_prefix("not ") {
            Some(name) => (true, name),
            None => (false, text.as_str()),
        };
        let name = name.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
        Trait { is_not, name }
    }

    fn kind(&self) -> Option<&str> {
        self.name.split_once('=').map(|(kind, _)| kind)
    }
}

/// The limits of a row. Blank means no limit.
#[derive(Debug, Clone)]
pub struct Scope {
    models: Vec<Key>,
    years: Vec<Range<i32>>,
    serials: Vec<Range<Serial>>,
    only: Vec<Trait>,
}

impl Scope {
    pub fn read(row: &Row) -> Option<Scope> {
        Some(Scope {
            models: list(cell(row, "model")).into_iter().map(key).collect(),
            years: ranges(cell(row, "years"), year)?,
            serials: ranges(cell(row, "serials"), Serial::read)?,
            only: list(cell(row, "only")).into_iter().map(Trait::read).collect(),
        })
    }

    pub fn columns_filled(&self) -> usize {
        usize::from(!self.models.is_empty())
            + usize::from(!self.years.is_empty())
            + usize::from(!self.serials.is_empty())
            + usize::from(!self.only.is_empty())
    }
}

/// A machine, or the machine as its row in `assemblies` has it.
#[derive(Debug, Clone)]
pub struct View {
    model: Key,
    year: Option<i32>,
    serial: String,
    traits: Vec<Trait>,
}

impl View {
    pub fn of_machine(row: &Row) -> Option<View> {
        Some(View {
            model: key(cell(row, "model")),
            year: match cell(row, "year") {
                "" => None,
                text => Some(year(text)?),
            },
            serial: cell(row, "serial").to_string(),
            traits: list(cell(row, "traits")).into_iter().map(Trait::read).collect(),
        })
    }

    /// Each filled cell in place of M's own; a filled model or year leaves a blank serial unknown, a filled model a blank year.
    pub fn of_assembly(&self, row: &Row) -> Option<View> {
        let own = View::of_machine(row)?;
        let has = |column: &str| !cell(row, column).is_empty();
        Some(View {
            model: if has("model") { own.model } else { self.model.clone() },
            year: if has("year") || has("model") { own.year } else { self.year },
            serial: if has("serial") || has("model") || has("year") {
                own.serial
            } else {
                self.serial.clone()
            },
            traits: if has("traits") { own.traits } else { self.traits.clone() },
        })
    }

    /// **no** if any limit excludes it; else **unsure** if a limit cannot be judged; else **yes**.
    pub fn judge(&self, scope: &Scope) -> Applies {
        self.limits(scope).into_iter().max().unwrap_or(Applies::Yes)
    }

    /// Model, years, serials, only; a blank one is yes.
    fn limits(&self, scope: &Scope) -> [Applies; 4] {
        let model = if scope.models.is_empty() || scope.models.contains(&self.model) {
            Applies::Yes
        } else {
            Applies::No
        };
        let years = match self.year {
            _ if scope.years.is_empty() => Applies::Yes,
            None => Applies::Unsure,
            Some(year) => {
                let within = |range: &Range<i32>| {
                    range.0.is_none_or(|from| from <= year) && range.1.is_none_or(|to| year <= to)
                };
                if scope.years.iter().any(within) { Applies::Yes } else { Applies::No }
            }
        };
        let serial = Serial::read(&self.serial);
        let serials = match &serial {
            _ if scope.serials.is_empty() => Applies::Yes,
            None => Applies::Unsure,
            Some(serial) => scope
                .serials
                .iter()
                .map(|range| serial_within(serial, range))
                .min()
                .unwrap_or(Applies::Yes),
        };
        let only = scope.only.iter().map(|item| self.has_trait(item)).max();
        [model, years, serials, only.unwrap_or(Applies::Yes)]
    }

    /// *yes* if the machine lists T; *no* if it lists `not T`, or another value of the same kind; else *unsure*. `not T` is the reverse.
    fn has_trait(&self, item: &Trait) -> Applies {
        let lists = self.traits.iter().any(|own| !own.is_not && own.name == item.name);
        let denies = self.traits.iter().any(|own| {
            let is_denied = own.is_not && own.name == item.name;
            let is_another = !own.is_not && own.name != item.name;
            is_denied || (is_another && own.kind().is_some() && own.kind() == item.kind())
        });
        match (lists, denies) {
            (true, _) => [Applies::Yes, Applies::No][usize::from(item.is_not)],
            (_, true) => [Applies::No, Applies::Yes][usize::from(item.is_not)],
            _ => Applies::Unsure,
        }
    }

    /// Where only the years exclude the row: whether it lies wholly before M's own year, or wholly after.
    pub fn only_years_before_or_after(&self, scope: &Scope) -> (bool, bool) {
        let Some(year) = self.year.filter(|_| self.is_excluded_only_by(scope, 1)) else {
            return (false, false);
        };
        let before = scope.years.iter().all(|range| range.1.is_some_and(|to| to < year));
        let after = scope.years.iter().all(|range| range.0.is_some_and(|from| year < from));
        (before, after)
    }

    /// As above, for serials.
    pub fn only_serials_before_or_after(&self, scope: &Scope) -> (bool, bool) {
        let serial = Serial::read(&self.serial).filter(|_| self.is_excluded_only_by(scope, 2));
        let Some(serial) = serial else {
            return (false, false);
        };
        let lies = |end: &Option<Serial>, wanted| {
            end.as_ref().is_some_and(|end| end.compare(&serial) == Some(wanted))
        };
        let before = scope.serials.iter().all(|range| lies(&range.1, std::cmp::Ordering::Less));
        let after = scope.serials.iter().all(|range| lies(&range.0, std::cmp::Ordering::Greater));
        (before, after)
    }

    fn is_excluded_only_by(&self, scope: &Scope, column: usize) -> bool {
        let limits = self.limits(scope);
        limits.iter().enumerate().all(|(at, limit)| (*limit == Applies::No) == (at == column))
    }
}

fn serial_within(serial: &Serial, range: &Range<Serial>) -> Applies {
    let judge = |end: &Option<Serial>, beyond: std::cmp::Ordering| match end {
        None => Applies::Yes,
        Some(end) => match serial.compare(end) {
            None => Applies::Unsure,
            Some(order) if order == beyond => Applies::No,
            Some(_) => Applies::Yes,
        },
    };
    judge(&range.0, std::cmp::Ordering::Less).max(judge(&range.1, std::cmp::Ordering::Greater))
}
