//! How one cell of a table becomes a value, and what the data dictionary says of its form.

use super::naming::{Form, Name, Thing};
use super::scope::Scope;
use super::table::{Column, Says};
use crate::measure::{
    Date, DecimalMark, Gauged, Key, LogDate, Money, PartNumber, Quantity, Serial, SerialRanges,
    Size, Torque, Unit, Unreadable, Year, YearRanges, parse_decimal, parse_year, said,
};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The cells of one row, by the place of their column in the table's definition.
pub trait Cells {
    /// Gives the text of a cell, without the space around it; empty where the column is missing.
    fn text(&self, slot: usize) -> &str;
    /// Tells which decimal marks the file may use.
    fn mark(&self) -> DecimalMark;
    /// Names the column of a cell.
    fn column(&self, slot: usize) -> &'static str;
    /// Notes that a cell cannot be read.
    fn refuse(&mut self, slot: usize, reason: Unreadable);
}

/// A value that one cell, or one item of a list cell, holds.
pub trait Value: Sized {
    /// The form of a cell, in a few words.
    const FORM: &'static str;
    /// The form of a cell that holds a list of them.
    const LIST_FORM: &'static str = Self::FORM;
    /// How a cell names something, and what, where the form alone tells.
    const NAMES: &'static [(Option<Thing>, Form)] = &[];
    /// Reads a text that is not blank.
    ///
    /// # Errors
    /// The text is no such value.
    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable>;
    /// Reads a text of a column, which may say in what it counts.
    ///
    /// # Errors
    /// As [`Value::read`].
    fn read_in(_column: &str, text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        Self::read(text, mark)
    }
    /// Tells that a cell which may be blank says that nobody knows.
    fn is_not_known(_column: &str, text: &str) -> bool {
        said::is_not_known(text)
    }
    /// Shows the names in the value.
    fn names<'a>(&'a self, _look: &mut dyn FnMut(Form, Name<'a>)) {}
}

/// A field of a row: one column or, for the scope, several.
pub trait Field: Sized {
    /// The form of a cell.
    const FORM: &'static str;
    /// Every row needs something in this field.
    const REQUIRED: bool = false;
    /// So many columns it is.
    const WIDTH: usize = 1;
    /// How a cell names something, and what, where the form alone tells.
    fn forms() -> Vec<(Option<Thing>, Form)> {
        Vec::new()
    }
    /// Adds the columns of this field to a table's definition.
    fn columns(name: &'static str, about: &'static str, says: Says, columns: &mut Vec<Column>) {
        let named = Self::forms().into_iter();
        let names = named.filter_map(|(thing, form)| Some((thing.or(says.of)?, form)));
        let or = says.or.iter().map(|thing| (*thing, Form::One));
        let names = names.chain(or).collect();
        let (required, form) = (Self::REQUIRED, Self::FORM);
        columns.push(Column { name, required, form, about, says, names });
    }
    /// Reads the field and steps past its columns; `None` where the row cannot stand without it.
    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self>;
    /// Shows every name in the field, with the number of its column, and steps past its columns.
    fn names<'a>(&'a self, slot: &mut usize, look: &mut dyn FnMut(usize, Form, Name<'a>)) {
        let at = *slot;
        *slot += Self::WIDTH;
        self.each_name(&mut |form, name| look(at, form, name));
    }
    /// Gives the limits, where this is where they stand.
    fn limits(&self) -> Option<&Scope> {
        None
    }
    /// Shows every name in a field of one column.
    fn each_name<'a>(&'a self, _look: &mut dyn FnMut(Form, Name<'a>)) {}
}

impl<T: Value> Field for T {
    const FORM: &'static str = <T as Value>::FORM;
    const REQUIRED: bool = true;

    fn forms() -> Vec<(Option<Thing>, Form)> {
        T::NAMES.to_vec()
    }

    fn each_name<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        Value::names(self, look);
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let at = *slot;
        *slot += 1;
        let text = cells.text(at);
        if text.is_empty() {
            cells.refuse(at, Unreadable::new(T::FORM, "", "this cell must not be blank"));
            return None;
        }
        keep(T::read_in(cells.column(at), text, cells.mark()), cells, at)
    }
}

impl<T: Value> Field for Option<T> {
    const FORM: &'static str = T::FORM;

    fn forms() -> Vec<(Option<Thing>, Form)> {
        T::NAMES.to_vec()
    }

    fn each_name<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        self.iter().for_each(|value| value.names(look));
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let at = *slot;
        *slot += 1;
        let text = cells.text(at);
        let column = cells.column(at);
        if text.is_empty() || T::is_not_known(column, text) {
            return Some(None);
        }
        Some(keep(T::read_in(column, text, cells.mark()), cells, at))
    }
}

impl<T: Value> Field for Vec<T> {
    const FORM: &'static str = T::LIST_FORM;

    fn forms() -> Vec<(Option<Thing>, Form)> {
        T::NAMES.iter().map(|(thing, form)| (*thing, in_list(*form))).collect()
    }

    fn each_name<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        self.iter().for_each(|value| value.names(&mut |form, name| look(in_list(form), name)));
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let at = *slot;
        *slot += 1;
        let mark = cells.mark();
        // Of a limit that nobody knows nobody can say that there is none.
        let is_limit = matches!(cells.column(at), "model" | "only");
        let whole = cells.text(at);
        if said::is_dash(whole) || (said::is_not_known(whole) && !is_limit) {
            return Some(Vec::new());
        }
        let mut read = Vec::new();
        let mut refused = Vec::new();
        for item in cells.text(at).split(';').map(str::trim).filter(|item| !item.is_empty()) {
            match T::read(item, mark) {
                Ok(value) => read.push(value),
                Err(reason) => refused.push(reason),
            }
        }
        for reason in refused {
            cells.refuse(at, reason);
        }
        Some(read)
    }
}

fn in_list(form: Form) -> Form {
    if form == Form::One { Form::List } else { form }
}

impl Field for String {
    const FORM: &'static str = "text";

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        *slot += 1;
        Some(cells.text(*slot - 1).to_owned())
    }
}

/// Notes a cell that cannot be read and goes on without it.
fn keep<T>(read: Result<T, Unreadable>, cells: &mut dyn Cells, slot: usize) -> Option<T> {
    match read {
        Ok(value) => Some(value),
        Err(reason) => {
            cells.refuse(slot, reason);
            None
        }
    }
}

impl Value for Key {
    const FORM: &'static str = "name";
    const LIST_FORM: &'static str = "list of names";
    const NAMES: &'static [(Option<Thing>, Form)] = &[(None, Form::One)];

    fn read(text: &str, _: DecimalMark) -> Result<Self, Unreadable> {
        Ok(Key::new(text))
    }

    fn is_not_known(column: &str, text: &str) -> bool {
        // There a dash says that nothing has to come apart.
        said::is_not_known(text) && !(column == "reached_by" && said::is_dash(text))
    }

    fn names<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        look(Form::One, self.into());
    }
}

impl Value for PartNumber {
    const FORM: &'static str = "part number";
    const NAMES: &'static [(Option<Thing>, Form)] = &[(Some(Thing::Part), Form::One)];

    fn read(text: &str, _: DecimalMark) -> Result<Self, Unreadable> {
        PartNumber::new(text).ok_or_else(|| {
            Unreadable::new("part number", text, "it holds no letter or digit to compare")
        })
    }

    fn names<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        look(Form::One, self.into());
    }
}

/// Reads what people write where the text is not in the plain form.
fn or_said<T>(
    read: Result<T, Unreadable>,
    plain: impl FnOnce() -> Option<String>,
    parse: impl FnOnce(&str) -> Result<T, Unreadable>,
) -> Result<T, Unreadable> {
    read.or_else(|why| plain().and_then(|plain| parse(&plain).ok()).ok_or(why))
}

macro_rules! values {
    ($($Type:ty, $form:literal, $read:expr $(, $unknown:expr)?;)*) => { $(
        impl Value for $Type {
            const FORM: &'static str = $form;
            fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
                let read: fn(&str, DecimalMark) -> Result<Self, Unreadable> = $read;
                read(text, mark)
            }
            $(
                fn is_not_known(_: &str, text: &str) -> bool {
                    let unknown: fn(&str) -> bool = $unknown;
                    unknown(text)
                }
            )?
        }
    )* };
}

values! {
    Quantity, "quantity, such as 2 or 0.35 L", |text, mark| or_said(
        Quantity::parse(text, mark),
        || said::quantity(text),
        |plain| Quantity::parse(plain, DecimalMark::Point),
    );
    Unit, "unit", |text, _| Unit::parse(text);
    Size, "size, such as 10, 7/64 in, 9.98..10.02 or 10 h8", Size::parse;
    Gauged, "size, limit or reading, such as 10 h8, 0.117 in, 9.98..10.02 or 0", Gauged::parse;
    Torque, "torque, such as 25 N·m (18 lbf·ft) or 20 N·m; +90°", |text, mark| or_said(
        Torque::parse(text, mark),
        || said::torque(text),
        |plain| Torque::parse(plain, DecimalMark::Point),
    ), |text| said::is_not_known(text) || said::is_torque_in_words(text);
    Money, "amount of money", |text, mark| or_said(
        Money::parse(text, mark),
        || said::money(text),
        |plain| Money::parse(plain, DecimalMark::Point),
    );
    Date, "date, year-month-day", |text, _| or_said(
        Date::parse(text),
        || said::day(text, false),
        Date::parse,
    );
    Year, "year", |text, _| or_said(parse_year(text), || said::one_year(text), parse_year),
        |text| said::is_not_known(text) || said::is_about(text);
    YearRanges, "years, such as 1999-2003 or 2004..", |text, _| or_said(
        YearRanges::parse(text),
        || said::years(text, YearRanges::typed_form),
        YearRanges::parse,
    ), said::is_dash;
    SerialRanges, "serials, such as B1200-B4999", |text, _| {
        // Taken as typed, `ab 12345` would be a serial with a prefix that compares with none.
        let said = said::serials(text, SerialRanges::typed_form);
        let plain = said.and_then(|plain| SerialRanges::parse(&plain).ok());
        plain.map_or_else(|| SerialRanges::parse(text), Ok)
    }, said::is_dash;
    bool, "yes or no", |text, _| match &*said::word(text) {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(Unreadable::new("yes or no", text, "type yes or no, or leave the cell blank")),
    };
}

impl Value for Decimal {
    const FORM: &'static str = "number, zero or more";

    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        parse_decimal(text, mark)
            .filter(|number| *number >= Decimal::ZERO)
            .ok_or_else(|| Unreadable::new("number", text, "type a plain number, zero or more"))
    }

    fn read_in(column: &str, text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let plain = || said::counted(column, text);
        or_said(<Self as Value>::read(text, mark), plain, |plain| {
            <Self as Value>::read(plain, DecimalMark::Point)
        })
    }
}

/// A part cell that may also say that nothing is there.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Fitted {
    /// Nobody has looked it up yet.
    #[default]
    Blank,
    /// `-`: nothing is there.
    Nothing,
    /// A part by its number.
    Part(PartNumber),
}

impl Fitted {
    /// Gives the part, if one is named.
    pub fn part(&self) -> Option<&PartNumber> {
        match self {
            Fitted::Part(part) => Some(part),
            _ => None,
        }
    }

    fn parse(text: &str) -> Result<Self, Unreadable> {
        match text {
            "" => Ok(Fitted::Blank),
            "-" | "–" | "—" => Ok(Fitted::Nothing),
            text if said::is_not_known(text) && !said::is_dash(text) => Ok(Fitted::Blank),
            _ => <PartNumber as Value>::read(text, DecimalMark::Point).map(Fitted::Part),
        }
    }
}

impl fmt::Display for Fitted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fitted::Blank => Ok(()),
            Fitted::Nothing => f.pad("-"),
            Fitted::Part(part) => part.fmt(f),
        }
    }
}

impl Field for Fitted {
    const FORM: &'static str = "part number, or - for nothing";

    fn forms() -> Vec<(Option<Thing>, Form)> {
        PartNumber::NAMES.to_vec()
    }

    fn each_name<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        self.part().into_iter().for_each(|part| look(Form::One, part.into()));
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let at = *slot;
        *slot += 1;
        Some(keep(Fitted::parse(cells.text(at)), cells, at).unwrap_or_default())
    }
}

impl Field for LogDate {
    const FORM: &'static str = "date, a bare year, or blank";

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let at = *slot;
        *slot += 1;
        let text = cells.text(at);
        if said::is_not_known(text) {
            return Some(LogDate::default());
        }
        let read = or_said(LogDate::parse(text), || said::day(text, true), LogDate::parse);
        Some(keep(read, cells, at).unwrap_or_default())
    }
}

/// A machine's serial as its owner typed it. Any text is kept; one without a digit cannot be compared.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SerialCell {
    /// The text as typed.
    pub text: String,
    /// The serial in it, if there is one.
    pub serial: Option<Serial>,
}

impl Field for SerialCell {
    const FORM: &'static str = "serial number";

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        let text = cells.text(*slot).to_owned();
        *slot += 1;
        Some(SerialCell { serial: Serial::parse(&text), text })
    }
}

/// How many of a part sit at a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum PlaceQuantity {
    /// One of the part serves every position that names it so.
    Set,
    /// So many, or so much.
    Amount(Quantity),
}

impl Value for PlaceQuantity {
    const FORM: &'static str = "quantity, or set";

    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        if text.eq_ignore_ascii_case("set") {
            return Ok(PlaceQuantity::Set);
        }
        <Quantity as Value>::read(text, mark).map(PlaceQuantity::Amount)
    }
}

impl fmt::Display for PlaceQuantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlaceQuantity::Set => f.write_str("set"),
            PlaceQuantity::Amount(amount) => amount.fmt(f),
        }
    }
}

/// What must change with a part: one item of a needs cell.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Need {
    /// The position that changes too.
    pub position: Key,
    /// How it changes.
    pub change: Change,
}

/// How a position changes with another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Change {
    /// `position`: what is there is renewed.
    Renew,
    /// `position=part` or `position=part*3`: this part goes there.
    Fit {
        /// The part.
        part: PartNumber,
        /// How many, where that is said.
        quantity: Option<Quantity>,
    },
    /// `position=-`: it is left empty.
    LeaveEmpty,
}

impl Value for Need {
    const FORM: &'static str = "list of position, position=part, position=part*3 or position=-";

    const NAMES: &'static [(Option<Thing>, Form)] =
        &[(Some(Thing::Position), Form::Before), (Some(Thing::Part), Form::Behind)];

    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let refuse = |hint: &str| Unreadable::new("needs item", text, hint);
        let (position, change) = match text.split_once('=') {
            None => (text, Change::Renew),
            Some((position, change)) => (position, Need::change(change.trim(), mark)?),
        };
        let position = position.trim();
        if position.is_empty() {
            return Err(refuse("name the position before the = sign"));
        }
        Ok(Need { position: Key::new(position), change })
    }

    fn names<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        look(Form::Before, (&self.position).into());
        self.part().into_iter().for_each(|part| look(Form::Behind, part.into()));
    }
}

impl Need {
    /// Gives the part that is to go there, if one is named.
    pub fn part(&self) -> Option<&PartNumber> {
        match &self.change {
            Change::Fit { part, .. } => Some(part),
            _ => None,
        }
    }

    /// Reads what stands after the `=`: a part, a part with a number of it, or `-`.
    ///
    /// # Errors
    /// No part number, or no quantity after the `*`.
    pub fn change(text: &str, mark: DecimalMark) -> Result<Change, Unreadable> {
        if text.contains('=') {
            let hint = "a second = sign stands in one item; separate the items of a list with ; and not with a comma";
            return Err(Unreadable::new("needs item", text, hint));
        }
        let (part, quantity) = match text.rsplit_once('*') {
            Some((part, quantity)) => (part, Some(Quantity::parse(quantity, mark)?)),
            None => (text, None),
        };
        match Fitted::parse(part.trim())? {
            Fitted::Nothing => Ok(Change::LeaveEmpty),
            Fitted::Part(part) => Ok(Change::Fit { part, quantity }),
            Fitted::Blank => Err(Unreadable::new(
                "needs item",
                text,
                "name a part after the = sign, or - to leave it empty",
            )),
        }
    }
}

impl fmt::Display for Need {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.change {
            Change::Renew => write!(f, "{}", self.position),
            Change::LeaveEmpty => write!(f, "{}=-", self.position),
            Change::Fit { part, quantity: None } => write!(f, "{}={part}", self.position),
            Change::Fit { part, quantity: Some(quantity) } => {
                write!(f, "{}={part}*{quantity}", self.position)
            }
        }
    }
}

/// A parcel in which something of an order came: one item of a deliveries cell.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Delivery {
    /// The day.
    pub day: Date,
    /// How much came.
    pub quantity: Quantity,
    /// The number of the delivery note; blank where none was told.
    pub slip: String,
}

impl Value for Delivery {
    const FORM: &'static str = "list of day=quantity or day=quantity@delivery note";

    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let form =
            || Unreadable::new("delivery", text, "write it as day=quantity, such as 2026-11-03=4");
        let (day, rest) = text.split_once('=').ok_or_else(form)?;
        let (quantity, slip) = rest.split_once('@').unwrap_or((rest, ""));
        Ok(Delivery {
            day: Date::parse(day.trim())?,
            quantity: Quantity::parse(quantity.trim(), mark)?,
            slip: slip.trim().to_owned(),
        })
    }
}

impl fmt::Display for Delivery {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}={}", self.day, self.quantity)?;
        if self.slip.is_empty() { Ok(()) } else { write!(f, "@{}", self.slip) }
    }
}

/// What an operation uses up: one item of a uses cell.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Use {
    /// The part, often a fluid, a sealant or a grease.
    pub part: PartNumber,
    /// How much; `None` is `as-needed`: have it on the bench.
    pub quantity: Option<Quantity>,
}

impl Value for Use {
    const FORM: &'static str = "list of part=quantity or part=as-needed";

    const NAMES: &'static [(Option<Thing>, Form)] = &[(Some(Thing::Part), Form::Before)];

    fn read(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let (part, quantity) = text.split_once('=').ok_or_else(|| {
            Unreadable::new("uses item", text, "say how much, as in PART=0.35 L or PART=as-needed")
        })?;
        let quantity = match quantity.trim() {
            word if word.eq_ignore_ascii_case("as-needed")
                || word.eq_ignore_ascii_case("as needed") =>
            {
                None
            }
            quantity => Some(<Quantity as Value>::read(quantity, mark)?),
        };
        Ok(Use { part: <PartNumber as Value>::read(part.trim(), mark)?, quantity })
    }

    fn names<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        look(Form::Before, (&self.part).into());
    }
}

impl fmt::Display for Use {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.quantity {
            None => write!(f, "{}=as-needed", self.part),
            Some(quantity) => write!(f, "{}={quantity}", self.part),
        }
    }
}

/// A name that must hold, or with `not` before it must not: a trait of a machine, an option of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Condition {
    /// The trait or option.
    pub name: Key,
    /// It must hold; `false` for `not NAME`.
    pub holds: bool,
}

impl Condition {
    /// Reads `NAME` or `not NAME`.
    pub(super) fn of(text: &str) -> Self {
        let text = text.trim();
        let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        if first.eq_ignore_ascii_case("not") {
            Condition { name: Key::new(rest), holds: false }
        } else {
            Condition { name: Key::new(text), holds: true }
        }
    }

    /// Tells whether the condition is met among the names that hold.
    pub fn met(&self, names: &[Key]) -> bool {
        names.contains(&self.name) == self.holds
    }
}

impl Value for Condition {
    const FORM: &'static str = "NAME or not NAME";
    const LIST_FORM: &'static str = "list of NAME or not NAME";

    const NAMES: &'static [(Option<Thing>, Form)] = &[(None, Form::Conditions)];

    fn read(text: &str, _: DecimalMark) -> Result<Self, Unreadable> {
        let condition = Condition::of(text);
        if condition.name.as_str().is_empty() {
            return Err(Unreadable::new(
                "condition",
                text,
                "name what must not hold, as in not EU",
            ));
        }
        Ok(condition)
    }

    fn names<'a>(&'a self, look: &mut dyn FnMut(Form, Name<'a>)) {
        look(Form::Conditions, (&self.name).into());
    }
}

impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.holds {
            f.write_str("not ")?;
        }
        self.name.fmt(f)
    }
}

macro_rules! words {
    ($($(#[doc = $doc:literal])* $Name:ident, $form:literal { $($(#[doc = $about:literal])* $Word:ident = $text:literal),* $(,)? })*) => { $(
        $(#[doc = $doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum $Name { $($(#[doc = $about])* $Word),* }

        impl $Name {
            /// Gives the word as it stands in the tables.
            pub fn as_str(self) -> &'static str {
                match self { $($Name::$Word => $text),* }
            }
        }

        impl fmt::Display for $Name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.as_str())
            }
        }

        impl Value for $Name {
            const FORM: &'static str = $form;
            fn read(text: &str, _: DecimalMark) -> Result<Self, Unreadable> {
                let word = said::word(text);
                $(if word == $text { return Ok($Name::$Word); })*
                Err(Unreadable::new($form, text, concat!("use one of: ", $form)))
            }
        }
    )* };
}

impl Seals {
    /// It closes a joint, or at least the hole that it sits in.
    pub fn closes(self) -> bool {
        self != Seals::No
    }
}

words! {
    /// Whether a type of part seals.
    Seals, "yes, no or own" {
        /// It seals no joint.
        No = "no",
        /// It seals only the hole that it sits in.
        Own = "own",
        /// It seals the joint.
        Yes = "yes",
    }
    /// What is done of a plan.
    MarkKind, "laid-out, done, refitted or torqued" {
        /// A part lies on the bench.
        LaidOut = "laid-out",
        /// An operation is done.
        Done = "done",
        /// What an operation took apart is together again.
        Refitted = "refitted",
        /// A position is tightened.
        Torqued = "torqued",
    }
    /// When an operation is carried out.
    Phase, "after, or blank" {
        /// Once the machine is together again.
        After = "after",
    }
    /// Whether a part can still be bought.
    Status, "available, discontinued or withdrawn" {
        /// It can be bought.
        Available = "available",
        /// It is made no more.
        Discontinued = "discontinued",
        /// It is never to be fitted again.
        Withdrawn = "withdrawn",
    }
    /// What happens to a position when it is disturbed. In order of weight, the lightest first.
    WhenDisturbed, "renew, inspect or keep" {
        /// It goes back as it came off.
        Keep = "keep",
        /// It is looked at or measured, and renewed if it is worn.
        Inspect = "inspect",
        /// It is never used twice.
        Renew = "renew",
    }
    /// What someone found about a later part on an earlier machine.
    Verdict, "fits, fits-with, look-first or no" {
        /// It goes straight in.
        Fits = "fits",
        /// It goes in with what the row names.
        FitsWith = "fits-with",
        /// It goes in with what the row names, if the machine is found to be as the note says.
        LookFirst = "look-first",
        /// It does not go in.
        No = "no",
    }
    /// Whether a replacement may also stand in the other way round.
    Swap, "one-way or both-ways" {
        /// The new part stands in for the old, not the old for the new.
        OneWay = "one-way",
        /// Each stands in for the other.
        BothWays = "both-ways",
    }
}
