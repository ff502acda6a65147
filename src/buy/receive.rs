//! Checks a parcel off against its order, and books it onto the shelf.
//!
//! Whatever looks wrong is questioned before anything is written: the same parcel twice, more than was ordered, part of
//! a piece, a day before the order's own, a number that has nothing to do with the order. On the person's word it is
//! booked all the same.

use super::orders::{Placed, placed, spoken_for};
use crate::catalog::{Applies, Delivery, Lookup, Machine, Stock};
use crate::kit::{Bench, Unknown, alike, work_out};
use crate::measure::{Date, Key, Kind, PartNumber, Quantity, Unit};
use crate::near::nearest;
use crate::tables::{Edit, FileEdits};
use rust_decimal::Decimal;
use std::collections::HashSet;
use std::fmt;

/// A parcel as a person tells it.
#[derive(Debug, Clone)]
pub struct Parcel {
    /// The order.
    pub order: Key,
    /// What was in it; nothing named is all that is still to come.
    pub items: Vec<(PartNumber, Quantity)>,
    /// Of what less came than was still to come, with how much did; all the rest came.
    pub short: Vec<(PartNumber, Quantity)>,
    /// The day.
    pub day: Date,
    /// Where it goes; else a bin named after the order.
    pub bin: Option<String>,
    /// The number of the delivery note that lay in it; blank where none was told.
    pub slip: String,
    /// Book it although it looks wrong.
    pub accept: bool,
    /// What is missing now will not come.
    pub no_more: bool,
}

/// A parcel that was booked.
#[derive(Debug, Clone, Default)]
pub struct Receipt {
    /// What was booked.
    pub booked: Vec<Booked>,
    /// What of the order is still to come.
    pub outstanding: Vec<(PartNumber, Quantity)>,
    /// What a person should know.
    pub remarks: Vec<String>,
    /// What is to be written.
    pub edits: Vec<FileEdits>,
}

/// Something that was booked onto the shelf.
#[derive(Debug, Clone)]
pub struct Booked {
    /// What came.
    pub part: PartNumber,
    /// How much.
    pub quantity: Quantity,
    /// Where it goes.
    pub bin: String,
    /// What was ordered, where it is another number.
    pub instead_of: Option<PartNumber>,
}

/// Why nothing was booked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotBooked {
    /// No order of this name.
    NoOrder(Unknown),
    /// It looks wrong; each with what is odd about it.
    Questioned(Vec<String>),
    /// Nothing was named that could be booked.
    Nothing(String),
}

impl fmt::Display for NotBooked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotBooked::NoOrder(unknown) => {
                write!(f, "no order '{}'", unknown.name)?;
                match &unknown.meant {
                    Some(meant) => write!(f, "; did you mean '{meant}'?"),
                    None if unknown.known.is_empty() => {
                        f.write_str("; the table orders holds none yet")
                    }
                    None => write!(f, "; there are: {}", unknown.known.join(", ")),
                }
            }
            NotBooked::Questioned(questions) => {
                write!(f, "nothing was booked, for something looks wrong:")?;
                for question in questions {
                    write!(f, "\n  {question}")?;
                }
                write!(f, "\nCorrect it, or say --force to book it as it is.")
            }
            NotBooked::Nothing(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for NotBooked {}

/// Works out what a parcel means for the tables. Nothing is written here.
///
/// `stock_file` takes the rows of parts that have no row yet.
///
/// # Errors
/// There is no such order, nothing is left of it, or something looks wrong and was not accepted.
pub fn receive(
    parcel: &Parcel,
    stock_file: &str,
    orders_file: &str,
    lookup: &dyn Lookup,
) -> Result<Receipt, NotBooked> {
    let mut lines: Vec<Placed> = placed(lookup);
    let mut known: Vec<Key> = Vec::new();
    for line in &lines {
        if !known.contains(&line.row.order) {
            known.push(line.row.order.clone());
        }
    }
    lines.retain(|line| line.row.order == parcel.order);
    let Some(first) = lines.first() else {
        return Err(NotBooked::NoOrder(Unknown::new(&parcel.order, &known)));
    };
    let order = first.row.order.to_string();
    let mut desk = Desk {
        lookup,
        parcel,
        bin: parcel.bin.clone().unwrap_or_else(|| format!("order {order}")),
        order,
        lines,
        questions: Vec::new(),
        receipt: Receipt::default(),
        touched: HashSet::new(),
        unordered: Vec::new(),
    };
    desk.know_the_slip();
    let items = desk.items()?;
    for (part, quantity) in items {
        desk.take(&part, quantity);
    }
    desk.question_the_day();
    if !desk.questions.is_empty() && !parcel.accept {
        return Err(NotBooked::Questioned(desk.questions));
    }
    if desk.receipt.booked.is_empty() && !parcel.no_more {
        return Err(NotBooked::Nothing(format!(
            "nothing of order {} was named, so nothing was booked",
            desk.order
        )));
    }
    desk.write(stock_file, orders_file);
    Ok(desk.receipt)
}

/// A parcel on the table, being checked off.
struct Desk<'a> {
    lookup: &'a dyn Lookup,
    parcel: &'a Parcel,
    order: String,
    bin: String,
    lines: Vec<Placed>,
    questions: Vec<String>,
    receipt: Receipt,
    /// The lines of which something came, by their place.
    touched: HashSet<usize>,
    /// What came without having been ordered.
    unordered: Vec<(PartNumber, Quantity)>,
}

impl Desk<'_> {
    /// What came: as named, or all that is still to come.
    fn items(&self) -> Result<Vec<(PartNumber, Quantity)>, NotBooked> {
        if !self.parcel.items.is_empty() {
            let mut items: Vec<(PartNumber, Quantity)> = Vec::new();
            for (part, quantity) in &self.parcel.items {
                let same = items
                    .iter_mut()
                    .find(|(known, sum)| known == part && sum.unit.kind() == quantity.unit.kind());
                match same.and_then(|(_, sum)| quantity.to(sum.unit).map(|more| (sum, more))) {
                    Some((sum, more)) => sum.amount = sum.amount.saturating_add(more.amount),
                    None => items.push((part.clone(), *quantity)),
                }
            }
            return Ok(items);
        }
        let open: Vec<(PartNumber, Quantity)> = self
            .lines
            .iter()
            .filter(|line| line.is_open())
            .map(|line| (line.row.part.clone(), line.outstanding()))
            .collect();
        if open.is_empty() && !self.parcel.no_more {
            let day = self.lines.iter().filter_map(|line| line.row.received.as_ref()).max();
            let day = day.map_or_else(String::new, |day| format!(" (the last of it on {day})"));
            return Err(NotBooked::Nothing(format!(
                "nothing of order {} is still to come{day}, so nothing was booked; if more came, name it as PART=QTY",
                self.order
            )));
        }
        if !self.parcel.short.is_empty() {
            let mut items = merged(open);
            for (part, came) in &self.parcel.short {
                let Some((_, quantity)) = items.iter_mut().find(|(known, _)| known == part) else {
                    return Err(NotBooked::Nothing(format!(
                        "nothing of {} is still to come of order {}, so it cannot be short, and nothing was booked",
                        self.lookup.spell_part(part),
                        self.order
                    )));
                };
                *quantity = *came;
            }
            return Ok(items);
        }
        // With no more to come and nothing named, the order is only closed.
        Ok(if self.parcel.no_more { Vec::new() } else { merged(open) })
    }

    fn take(&mut self, part: &PartNumber, quantity: Quantity) {
        let spelled = self.lookup.spell_part(part);
        if quantity.amount.is_zero() {
            self.receipt.remarks.push(format!("nothing of {spelled} came"));
            return;
        }
        let same =
            |line: &Placed| line.row.part == *part || line.row.received_part.as_ref() == Some(part);
        let mut places: Vec<usize> =
            (0..self.lines.len()).filter(|place| same(&self.lines[*place])).collect();
        if places.is_empty() {
            places = self.substituted(part);
        }
        if places.is_empty() {
            self.question_stranger(part, quantity);
            self.question_part_of_a_piece(&spelled, quantity);
            self.unordered.push((spelled.clone(), quantity));
            self.receipt.booked.push(Booked {
                part: spelled,
                quantity,
                bin: self.bin.clone(),
                instead_of: None,
            });
            return;
        }
        let unit = self.lines[places[0]].pack.unit;
        let Some(came) = quantity.to(unit) else {
            self.questions.push(format!(
                "{spelled} was ordered by {unit}, so {quantity} cannot be told from packs; write how much came, such as {spelled}={}",
                self.lines[places[0]].pack.to_string().replace(' ', "")
            ));
            return;
        };
        self.question_part_of_a_piece(&spelled, came);
        let mut left = came.amount;
        let mut of_lines = Decimal::ZERO;
        for place in &places {
            let line = &self.lines[*place];
            let open = line.outstanding().to(unit).map_or(Decimal::ZERO, |open| open.amount);
            if open.is_zero() || left.is_zero() {
                continue;
            }
            // What came of this line a moment ago is part of the same parcel.
            let before =
                if self.touched.contains(place) { None } else { self.came_before(line, left) };
            if let Some(day) = before {
                self.questions.push(format!(
                    "{} of {} were booked already{day}; is this a second parcel with as many, or the same one again? The number of its delivery note tells: --slip NUMBER",
                    Quantity::new(left, unit),
                    line.row.part
                ));
            }
            let taken = open.min(left);
            left -= taken;
            of_lines = of_lines.saturating_add(taken);
            self.book(*place, taken);
        }
        if !left.is_zero() {
            let last = places[places.len() - 1];
            let line = &self.lines[last];
            let over = Quantity::new(left, unit);
            let ordered = places
                .iter()
                .map(|place| self.lines[*place].ordered)
                .fold(Decimal::ZERO, Decimal::saturating_add);
            let ordered = Quantity::new(ordered, unit);
            self.questions.push(if of_lines.is_zero() {
                let day = line.row.received.as_ref().map_or_else(String::new, |day| format!(" on {day}"));
                format!("all {ordered} of {spelled} came already{day}; {over} more would be over the order")
            } else {
                format!("{came} of {spelled} came, which is {over} more than was still to come of {ordered}")
            });
            self.book(last, left);
        }
        let line = &self.lines[places[0]];
        let instead_of = (line.row.part != *part).then(|| self.lookup.spell_part(&line.row.part));
        if let Some(ordered) = &instead_of {
            self.note_substitute(&ordered.clone(), &spelled, places[0]);
        }
        self.receipt.booked.push(Booked {
            part: spelled.clone(),
            quantity: came,
            bin: self.bin.clone(),
            instead_of,
        });
        for place in places {
            if self.touched.contains(&place) && self.lines[place].row.part != *part {
                self.lines[place].row.received_part = Some(spelled.clone());
            }
        }
    }

    fn question_part_of_a_piece(&mut self, part: &PartNumber, came: Quantity) {
        if came.unit.kind() == Kind::Count && !came.amount.fract().is_zero() {
            self.questions.push(format!(
                "{came} of {part} came, but it is counted in pieces; is the number right?"
            ));
        }
    }

    /// Nothing comes before it was ordered.
    fn question_the_day(&mut self) {
        let first = self.lines.iter().map(|line| &line.row).min_by_key(|row| &row.date);
        if let Some(row) =
            first.filter(|row| self.parcel.day < row.date && !self.receipt.booked.is_empty())
        {
            self.questions.push(format!(
                "{} is before order {} was placed ({}, {}); is the date right?",
                self.parcel.day,
                self.order,
                row.date,
                self.lookup.place(row.at)
            ));
        }
    }

    /// A parcel with this delivery note was booked before.
    fn know_the_slip(&mut self) {
        if self.parcel.slip.is_empty() {
            return;
        }
        let mut before = self.lines.iter().flat_map(|line| &line.row.deliveries);
        if let Some(before) =
            before.find(|before| before.slip.eq_ignore_ascii_case(&self.parcel.slip))
        {
            let question = format!(
                "the parcel with delivery note {} was booked already on {}; is this the same one again?",
                before.slip, before.day
            );
            self.questions.push(question);
        }
    }

    /// When as much of a line came before, in a parcel that may be this one; blank where nobody wrote down the day.
    fn came_before(&self, line: &Placed, amount: Decimal) -> Option<String> {
        let on = |day: &Date| format!(" on {day}");
        let unit = line.pack.unit;
        let of_row = &line.row.deliveries;
        let told =
            of_row.iter().filter_map(|before| before.quantity.to(unit).map(|came| came.amount));
        // What came before the table had this column is one parcel, as far as anybody knows.
        let untold = line.came_by_row() - told.fold(Decimal::ZERO, Decimal::saturating_add);
        if !amount.is_zero()
            && (untold == amount || line.came_by_row() == amount && self.parcel.slip.is_empty())
        {
            return Some(line.row.received.as_ref().map_or_else(String::new, on));
        }
        let other_slip = |slip: &str| !self.parcel.slip.is_empty() && !slip.is_empty();
        of_row
            .iter()
            .find(|before| {
                before.quantity.to(unit).is_some_and(|came| came.amount == amount)
                    && !other_slip(&before.slip)
            })
            .map(|before| on(&before.day))
    }

    fn book(&mut self, place: usize, amount: Decimal) {
        let quantity = Quantity::new(amount, self.lines[place].pack.unit);
        let slip = self.parcel.slip.clone();
        let again = self.touched.contains(&place);
        let deliveries = &mut self.lines[place].row.deliveries;
        match deliveries.last_mut().filter(|_| again) {
            Some(this) => this.quantity.amount = this.quantity.amount.saturating_add(amount),
            None => deliveries.push(Delivery { day: self.parcel.day.clone(), quantity, slip }),
        }
        let line = &mut self.lines[place];
        line.came = line.came.saturating_add(amount);
        self.touched.insert(place);
    }

    /// The open lines for which a number was sent that replaces, equals or may be swapped with the one ordered.
    fn substituted(&self, part: &PartNumber) -> Vec<usize> {
        let stands_in =
            |line: &Placed| self.related(&line.row.part, part, line.row.machine.as_ref());
        let mut open: Vec<usize> =
            (0..self.lines.len()).filter(|place| stands_in(&self.lines[*place])).collect();
        // Where nothing is open it is more than was ordered, but no stranger.
        if open.iter().any(|place| self.lines[*place].is_open()) {
            open.retain(|place| self.lines[*place].is_open());
        }
        // One number stands in for one other, not for several at once.
        let Some(first) = open.first().map(|place| self.lines[*place].row.part.clone()) else {
            return open;
        };
        open.into_iter().filter(|place| self.lines[*place].row.part == first).collect()
    }

    /// One number leads to the other by supersession, as an equivalent, or by being interchangeable.
    fn related(&self, ordered: &PartNumber, came: &PartNumber, machine: Option<&Key>) -> bool {
        let machine: Option<Machine> =
            machine.and_then(|machine| self.lookup.machine(machine)).map(|m| m.into_owned());
        let mut seen = HashSet::from([ordered.clone()]);
        let mut next = vec![ordered.clone()];
        while let Some(number) = next.pop() {
            if number == *came {
                return true;
            }
            let rows = self.lookup.supersessions_of(&number).into_owned().into_iter();
            let applies = |row: &crate::catalog::Supersession| {
                machine.as_ref().is_none_or(|machine| row.scope.applies(machine) != Applies::No)
            };
            let mut others: Vec<PartNumber> = rows.filter(applies).map(|row| row.new).collect();
            match &machine {
                Some(machine) => {
                    let bench = Bench::new(machine.clone(), self.lookup);
                    others.extend(alike(&number, &bench).into_iter().map(|(part, _)| part));
                }
                None => others.extend(
                    self.lookup
                        .equivalents_of(&number)
                        .iter()
                        .flat_map(|row| [row.part.clone(), row.other.clone()]),
                ),
            }
            next.extend(others.into_iter().filter(|other| seen.insert(other.clone())));
        }
        false
    }

    fn note_substitute(&mut self, ordered: &PartNumber, came: &PartNumber, place: usize) {
        self.receipt.remarks.push(format!(
            "{came} came for {ordered}: it replaces it or is the same part, and is recorded"
        ));
        let Some(machine) = self.lines[place]
            .row
            .machine
            .clone()
            .and_then(|machine| self.lookup.machine(&machine).map(|m| m.into_owned()))
        else {
            return;
        };
        let bench = Bench::new(machine, self.lookup);
        for need in bench.resolve(ordered).needs {
            self.receipt.remarks.push(format!(
                "{} needs {} to change with it ({}); see that the kit has it",
                need.new,
                need.need,
                self.lookup.place(need.at)
            ));
        }
    }

    /// A number that has nothing to do with the order: is it known, and does the job's kit call for it?
    fn question_stranger(&mut self, part: &PartNumber, quantity: Quantity) {
        let lookup = self.lookup;
        let spelled = lookup.spell_part(part);
        let numbers: Vec<String> =
            self.lines.iter().map(|line| line.row.part.to_string()).collect();
        let ordered = nearest(part.as_str(), numbers.iter().map(String::as_str)).map(str::to_owned);
        let hint = ordered.map_or_else(String::new, |meant| format!("; is {meant} meant?"));
        if lookup.part(part).is_none() {
            let unknown = format!(
                "{spelled} is not on order {} and not in the table parts{hint}",
                self.order
            );
            self.questions.push(unknown);
            return;
        }
        let mut said = format!(
            "{spelled} is not on order {}, nor a number that replaces one on it{hint}",
            self.order
        );
        let of_order: HashSet<&Key> =
            self.lines.iter().filter_map(|line| line.row.machine.as_ref()).collect();
        let kits = spoken_for(lookup).into_iter().filter(|spoken| {
            of_order.contains(&spoken.machine) && self.lines.iter().any(|line| spoken.is_for(line))
        });
        for spoken in kits {
            let Ok(kit) = work_out(&spoken.ask(), lookup) else { continue };
            let (job, machine) = (spoken.name(), &spoken.machine);
            let line =
                kit.lines.iter().find(|line| PartNumber::new(&line.part).as_ref() == Some(part));
            said.push_str(&match line {
                Some(line) => {
                    format!(
                        "; the kit of {job} on {machine} does call for {} of it",
                        Quantity::new(line.quantity, line.unit)
                    )
                }
                None => format!("; nothing in the kit of {job} on {machine} calls for it"),
            });
        }
        said.push_str(&format!(" ({quantity} came)"));
        self.questions.push(said);
    }

    fn write(&mut self, stock_file: &str, orders_file: &str) {
        let day = self.parcel.day.to_string();
        for (place, line) in self.lines.iter().enumerate() {
            let file = self.lookup.file(line.row.at).into_owned();
            let mut set = |column: &str, text: String| {
                let edit = Edit::Set { line: line.row.at.line, column: column.to_owned(), text };
                add_edit(&mut self.receipt.edits, "orders", &file, edit);
            };
            if self.touched.contains(&place) {
                set("received", day.clone());
                set("received_quantity", Quantity::new(line.came, line.pack.unit).to_string());
                set(
                    "deliveries",
                    line.row
                        .deliveries
                        .iter()
                        .map(ToString::to_string)
                        .collect::<Vec<_>>()
                        .join(";"),
                );
                if let Some(part) = &line.row.received_part {
                    set("received_part", part.to_string());
                }
            }
            let left = line.outstanding();
            if left.amount.is_zero() {
                continue;
            }
            if self.parcel.no_more {
                set("closed", "yes".to_owned());
            } else {
                self.receipt.outstanding.push((self.lookup.spell_part(&line.row.part), left));
            }
        }
        for (part, quantity) in std::mem::take(&mut self.unordered) {
            let Some(first) = self.lines.first() else { continue };
            let mut cells = vec![
                ("order", self.order.clone()),
                ("date", first.row.date.to_string()),
                ("supplier", first.row.supplier.to_string()),
                ("part", part.to_string()),
                ("packs", "0".to_owned()),
                ("received", day.clone()),
                ("received_quantity", quantity.to_string()),
                ("note", "came without having been ordered".to_owned()),
            ];
            if quantity.unit != Unit::Each {
                cells.push(("pack", Quantity::new(Decimal::ONE, quantity.unit).to_string()));
            }
            let cells = cells.into_iter().map(|(column, text)| (column.to_owned(), text)).collect();
            add_edit(&mut self.receipt.edits, "orders", orders_file, Edit::Append { cells });
        }
        for booked in self.receipt.booked.clone() {
            self.shelve(&booked, stock_file);
        }
    }

    /// Adds to what lies in the same bin already, or puts it there as something new. A length stays a piece of its own.
    fn shelve(&mut self, booked: &Booked, stock_file: &str) {
        let rows = self.lookup.stock_of(&booked.part);
        let fits = |row: &&Stock| {
            Key::new(&row.bin) == Key::new(&booked.bin)
                && booked.quantity.unit.kind() != Kind::Length
        };
        let there = rows
            .iter()
            .find(fits)
            .and_then(|row| Some((row, booked.quantity.to(row.quantity.0.unit)?)));
        match there {
            Some((row, more)) => {
                let sum =
                    Quantity::new(row.quantity.0.amount.saturating_add(more.amount), more.unit);
                let file = self.lookup.file(row.at).into_owned();
                let edit = Edit::Set {
                    line: row.at.line,
                    column: "quantity".to_owned(),
                    text: sum.to_string(),
                };
                add_edit(&mut self.receipt.edits, "stock", &file, edit);
            }
            None => {
                let cells = [
                    ("part", booked.part.to_string()),
                    ("quantity", booked.quantity.to_string()),
                    ("bin", booked.bin.clone()),
                    ("note", format!("came on {} with order {}", self.parcel.day, self.order)),
                ];
                let cells =
                    cells.into_iter().map(|(column, text)| (column.to_owned(), text)).collect();
                add_edit(&mut self.receipt.edits, "stock", stock_file, Edit::Append { cells });
            }
        }
    }
}

/// Adds up the lines of one number.
fn merged(items: Vec<(PartNumber, Quantity)>) -> Vec<(PartNumber, Quantity)> {
    let mut sums: Vec<(PartNumber, Quantity)> = Vec::new();
    for (part, quantity) in items {
        let same = sums.iter_mut().find(|(known, _)| *known == part);
        match same.and_then(|(_, sum)| quantity.to(sum.unit).map(|more| (sum, more))) {
            Some((sum, more)) => sum.amount = sum.amount.saturating_add(more.amount),
            None => sums.push((part, quantity)),
        }
    }
    sums
}

fn add_edit(files: &mut Vec<FileEdits>, table: &'static str, name: &str, edit: Edit) {
    match files.iter_mut().find(|file| file.name == name && file.table == table) {
        Some(file) => file.edits.push(edit),
        None => files.push(FileEdits { table, name: name.to_owned(), edits: vec![edit] }),
    }
}
