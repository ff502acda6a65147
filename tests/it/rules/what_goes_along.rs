//! What goes along: tools, limits, and catalogs beyond all measure.

use super::*;

#[test]
fn tools_cautions_and_minutes_are_gathered_from_the_operations_in_strip_order() {
    let kit = service(&[
        (
            "operations",
            "operation,needs,tools,minutes,cautions | open,safe,spanner;tray,10,hot | safe,,tray;light,2.5,fire",
        ),
        ("cautions", "caution,text | fire,Keep a fire blanket within reach."),
    ]);
    assert_eq!(
        (kit.tools.join(" "), kit.minutes.to_string()),
        ("tray light spanner".to_owned(), "12.5".to_owned())
    );
    assert_eq!(kit.cautions, ["fire", "hot"]);
    assert_eq!(kit.caution_texts[0].text, "Keep a fire blanket within reach.");
}

#[test]
fn an_inspected_position_tells_what_to_have_ready_and_the_limits_to_measure_against() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | rotor,W1,2,face"),
        ("supersessions", "old,new | W1,W2"),
        (
            "seats",
            "position,feature,size,least,years | rotor,bore,40,39.9,-2000 | rotor,bore,41,40.9,2001-",
        ),
        (
            "measurements",
            "date,machine,position,feature,value | 2020-01-01,mill,rotor,bore,39.95 | 2021-01-01,stray,rotor,bore,38",
        ),
    ]);
    let rotor = at(&kit, "rotor");
    assert_eq!((rotor.if_worn.len(), rotor.limits.len()), (1, 1));
    assert_eq!(
        (rotor.if_worn[0].part.as_str(), rotor.if_worn[0].quantity.to_string()),
        ("W2", "2".to_owned())
    );
    assert_eq!(rotor.limits[0].least.as_deref(), Some("39.9 mm"));
    assert!(
        rotor.limits[0].last_reading.as_deref().is_some_and(|reading| reading.contains("39.95"))
    );
}

#[test]
fn the_catalog_answers_for_a_change_as_it_was_typed() {
    assert_eq!(instead("a", "-").change, Change::LeaveEmpty);
    assert!(shop(&[PUMP]).position_keys().iter().map(Key::as_str).eq(["seal", "rotor", "bolts"]));
}

#[test]
fn replacements_that_fork_at_every_level_are_followed_only_so_far_and_the_kit_says_so() {
    let mut rows = "old,new,together".to_owned();
    for level in 0..40 {
        for (old, new) in [("a", "a"), ("a", "b"), ("b", "a"), ("b", "b")] {
            rows += &format!(" | {old}{level},{new}{},both", level + 1);
        }
    }
    let kit = service(&[
        ("supersessions", &rows),
        ("positions", "position,part,joint | seat,a0,face"),
        ("job_lines", "job,position | service,seat"),
    ]);
    assert!(
        kit.gaps
            .iter()
            .any(|gap| gap.subject == "a0" && gap.message.contains("fork into more than"))
    );
}

#[test]
fn sets_that_hold_sets_twice_at_every_level_are_unpacked_only_so_far_and_the_kit_says_so() {
    let mut rows = "part,contains".to_owned();
    for level in 0..40 {
        for (part, contained) in [("a", "a"), ("a", "b"), ("b", "a"), ("b", "b")] {
            rows += &format!(" | {part}{level},{contained}{}", level + 1);
        }
    }
    let kit = service(&[
        ("contains", &rows),
        ("positions", "position,part,joint | seat,S1,face"),
        ("job_lines", "job,position,part | service,seat, | service,,a0"),
    ]);
    assert!(
        kit.doubts.iter().any(|doubt| doubt.starts_with("a0 holds more than")),
        "{:?}",
        kit.doubts
    );
}

#[test]
fn a_number_that_parts_lacks_is_one_number_however_it_is_spelled() {
    let kit = service(&[
        ("positions", "position,part,joint | seat,Z-9,face | side,z9,face"),
        ("job_lines", "job,position | service,seat | service,side"),
    ]);
    assert_eq!(lines(&kit), "2 Z-9 new for seat+side");
    assert_eq!(parts(&kit, "seat"), parts(&kit, "side"));
}
