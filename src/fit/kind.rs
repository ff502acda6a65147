//! What kind of part an owner's own type is, among those that the checks know.

use super::standard::{KnownType, known_types};
use crate::catalog::PartType;
use crate::measure::Key;

/// Finds the shipped type that a type is: by its name, else by a shipped type that is also called so, else by what its
/// owner says that it is also called. `None` where none is, or where those names lead to more than one.
pub(super) fn shipped(own: &PartType) -> Option<&'static KnownType> {
    let named = |name: &Key| {
        let by_name = known_types().iter().find(|row| row.part_type == *name);
        by_name.or_else(|| known_types().iter().find(|row| row.also_called.contains(name)))
    };
    named(&own.part_type).or_else(|| {
        let mut others = own.also_called.iter().filter_map(named);
        let first = others.next()?;
        others.all(|other| other.part_type == first.part_type).then_some(first)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shipped_for(name: &str, also_called: &[&str]) -> Option<String> {
        let (rows, _) = crate::tables::shipped_rows();
        let mut own = rows.types[0].clone();
        own.part_type = Key::new(name);
        own.also_called = also_called.iter().map(|name| Key::new(name)).collect();
        shipped(&own).map(|row| row.part_type.to_string())
    }

    #[test]
    fn the_types_known_here_are_those_of_the_shipped_table() {
        let (rows, _) = crate::tables::shipped_rows();
        assert_eq!(rows.types.len(), known_types().len());
        for (row, known) in rows.types.iter().zip(known_types()) {
            assert_eq!((&row.part_type, &row.size_form), (&known.part_type, &known.size_form));
            assert_eq!(row.also_called, known.also_called);
        }
    }

    #[test]
    fn an_owners_own_name_leads_to_the_type_that_it_is_and_two_meanings_to_none() {
        assert_eq!(shipped_for("O-Ring", &[]).as_deref(), Some("o-ring"));
        assert_eq!(shipped_for("LIP SEAL", &[]).as_deref(), Some("shaft seal"));
        assert_eq!(shipped_for("runder Ring", &["O-Ring"]).as_deref(), Some("o-ring"));
        assert_eq!(
            shipped_for("runder Ring", &["round ring", "lip seal"]).as_deref(),
            Some("shaft seal")
        );
        assert_eq!(shipped_for("runder Ring", &["o-ring", "lip seal"]), None);
        assert_eq!(shipped_for("Dichtkram", &[]), None);
    }
}
