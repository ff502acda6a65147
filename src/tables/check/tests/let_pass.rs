//! What looks like a mistake and is none.

use super::{Edit, findings, shown};

/// Each becomes a test that these edits of the clean catalog raise nothing.
macro_rules! let_pass {
    ($($name:ident: $($table:ident: $old:literal => $new:literal),+;)*) => { $(
        #[test]
        fn $name() {
            let found = findings(&[$(Edit { table: stringify!($table), old: $old, new: $new }),+]);
            assert!(found.is_empty(), "{}", shown(&found));
        }
    )* };
}

let_pass! {
    rows_for_unlike_serials_do_not_overlap:
        positions: "" => "vent,Gearcase,SC-10,,,,C1-,,drain,,,";
    rows_for_contradicting_traits_do_not_overlap:
        positions: "TH-20,,,,,US" => "TH-20,,,,,not EU";
    rows_for_different_traits_do_not_overlap_while_no_machine_carries_both:
        positions: "TH-20,,,,,US" => "TH-20,,,,,short-shaft";
    rows_for_years_outside_the_build_years_do_not_overlap:
        positions: "impeller,Pump,IM-20,,TK9,," => "impeller,Pump,IM-20,,,2005-,";
    rows_of_one_operation_for_different_models_do_not_overlap:
        operations: "anode-seat,anode,,," => "anode-seat,anode,,,TK8\nanode-off,open-head,anode-seat,anode,,,TK9";
    lists_in_another_order_and_equal_amounts_in_other_units_do_not_differ:
        operations: "" => "drain-oil,,drain,,OI-10=350 ml,cold-hands,TK8";
    needs_in_another_order_do_not_differ:
        operations: "open-pump,drain-oil,pump-cover,,,propeller," => "open-pump,drain-oil; open-head,pump-cover,,,propeller,\nopen-pump,open-head; drain-oil,pump-cover,,,,TK8";
    a_position_that_says_the_same_quantity_in_two_ways_does_not_differ:
        positions: "" => "anode,Gearcase,AN-10,1,TK8,,,,anode-seat,,,";
    supersessions_that_lead_back_on_other_machines_make_no_cycle:
        supersessions: "IM-05,IM-20,,2001,," => "IM-05,IM-20,,2001,,-2000", supersessions: "" => "IM-20,IM-05,,,,2001-\nIM-05,IM-20,,,,-1999", stock: "IM-05,1,C" => "IM-20,1,C", positions: "IM-05,,TK8" => "HS-10,,TK8", worklog: "2019,dinghy,impeller,IM-05,," => "2019,dinghy,impeller,HS-10,,";
    a_part_that_stays_and_gets_another_beside_it_makes_no_cycle:
        supersessions: "" => "SC-10,SC-10,with-washer,,,\nSC-10,WA-10,with-washer,,,";
    an_old_number_needs_no_row_where_its_supersession_leads_to_a_listed_one:
        supersessions: "" => "GA-01,GA-05,,,,\nGA-05,GA-10,,,,", worklog: "" => "1999,dinghy,pump-gasket,GA-01,,,", offers: "" => "chandler,GA-05,1,", positions: "pump-gasket,Pump,GA-10" => "pump-gasket,Pump,GA-01";
    a_supersession_as_wide_as_the_row_lists_its_number:
        supersessions: "IM-05,IM-20,,2001,," => "IM-05,IM-20,,2001,,1990-2010", positions: "IM-05,,TK8,," => "IM-05,,TK8,1996-2004,";
    supersessions_that_are_pieced_together_from_years_list_their_number:
        supersessions: "IM-05,IM-20,,2001,," => "IM-05,IM-20,,2001,,1996-1999\nIM-05,HS-10,,,,2000-";
    another_number_may_be_bought_and_lie_on_the_shelf:
        stock: "" => "zz1,4,", orders: "" => "o2,2021-01-01,chandler,ZZ 1,1,,,,ZZ-1";
    an_empty_shelf_has_no_unit:
        stock: "OI-10,0,B" => "OI-10,0 each,B";
    rows_with_a_hole_outside_the_build_years_leave_nothing_out:
        models: "TK8,1996-2004" => "TK8,1996-1999; 2002-2004", positions: "GA-20,,,2000-" => "GA-20,,,2002-";
    a_row_with_nothing_closes_a_hole:
        positions: "GA-20,,,2000-" => "GA-20,,,2002-", positions: "" => "pump-gasket,Pump,-,,,2000-2001,,,pump-cover,,,";
    one_row_for_two_ranges_leaves_out_what_it_means_to:
        positions: "anode,Gearcase,AN-10,,,," => "anode,Gearcase,AN-10,,,1996-1998; 2001-,";
    a_hole_within_one_cell_is_meant_though_other_rows_follow:
        positions: "GA-20,,,2000-" => "GA-20,,,2000-2001; 2003-";
    serials_within_others_leave_nothing_out_behind_them:
        positions: "" => "vent,Gearcase,OR-10,,,,B1300-B1400,,drain,,,";
    a_serial_range_of_another_prefix_leaves_nothing_out_of_the_first:
        positions: "B5000-,,drain,,," => "B5000-,,drain,,,\nvent,Gearcase,-,,,,C7-C9,,drain,,,";
    a_trait_unlike_any_other_is_no_mistake:
        positions: "anode,Gearcase,AN-10,,,,," => "anode,Gearcase,AN-10,,,,,power-trim";
    a_row_that_stops_early_is_no_mistake:
        positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10";
    a_short_row_that_ends_in_a_trait_of_a_machine_is_no_mistake:
        positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10,,,,,EU";
    short_rows_that_end_in_one_trait_of_another_market_are_no_mistake:
        positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10,,,,,AU", positions: "anode,Gearcase,AN-10,,,,,,anode-seat,,," => "anode,Gearcase,AN-10,,,,,,anode-seat,,,\nanode-cover,Gearcase,SC-10,,,,,AU";
    a_joint_that_is_called_like_the_operation_that_opens_it_is_no_mistake:
        positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10,,,,,,open-head", operations: "head-cover,,,hot-coolant" => "head-cover; open-head,,,hot-coolant", joints: "" => "open-head,yes";
    an_assembly_that_contains_parts_may_sit_at_two_positions:
        contains: "" => "TH-20,OR-10,1,", positions: "" => "second-thermostat,Head,TH-20,,,,,,,,,";
    a_set_at_positions_that_no_machine_has_at_once_is_counted_rightly:
        positions: "upper-seal,Head,SE-10,set,," => "upper-seal,Head,SE-10,1,TK8,", positions: "lower-seal,Head,SE-10,set,," => "lower-seal,Head,SE-10,1,TK9,";
    a_later_or_a_narrower_replacement_wins_and_leaves_no_choice:
        supersessions: "" => "IM-05,SC-10,,2002,,\nIM-05,WA-10,,,,-1996";
    equal_replacements_that_a_later_one_outdoes_leave_no_choice:
        supersessions: "" => "GA-01,GA-10,,1999,,\nGA-01,GA-20,,1999,,\nGA-01,OR-10,,2000,,";
    a_discontinued_part_that_is_on_the_shelf_or_offered_is_still_to_be_had:
        parts: "GA-20,gasket,,each," => "GA-20,gasket,,each,discontinued", parts: "GA-10,gasket,,each," => "GA-10,gasket,,each,discontinued", stock: "" => "GA-20,1,", offers: "" => "chandler,GA-10,1,";
    a_discontinued_part_that_no_kit_orders_is_no_matter:
        parts: "HS-10,pump housing,,each," => "HS-10,pump housing,,each,discontinued", positions: "" => "housing,Pump,HS-10,,,,,,,,,";
    an_unknown_part_at_a_position_that_is_kept_is_no_matter:
        positions: "" => "badge,Cowl,,,,,,,,,keep,";
    a_part_without_a_type_is_no_matter_where_the_position_has_a_rule:
        parts: "RC-10,reed box" => "RC-10,", positions: "RC-10,,,,,,,,," => "RC-10,,,,,,,,inspect,";
    single_use_yes_against_a_type_that_is_kept_is_the_owners_choice:
        parts: "SC-10,screw," => "SC-10,screw,yes";
    a_dry_joint_may_hold_nothing:
        joints: "" => "lid,yes", operations: ",anode-seat," => ",anode-seat; lid,";
    a_joint_of_another_machine_need_not_seal_on_this_one:
        positions: "anode,Gearcase,AN-10,,,,,,anode-seat" => "anode,Gearcase,AN-10,,TK8,,,,anode-seat", joints: "anode-seat,yes" => "anode-seat,", positions: "" => "anode-seal,Gearcase,OR-10,,TK8,,,,anode-seat,,,";
    a_joint_that_is_not_on_a_machine_need_not_seal_there:
        positions: "anode,Gearcase,AN-10,,,,,," => "anode,Gearcase,AN-10,,,,,EU,", joints: "anode-seat,yes" => "anode-seat,", positions: "" => "anode-seal,Gearcase,OR-10,,,,,EU,anode-seat,,,";
    an_operation_that_is_not_done_on_a_machine_leaves_its_joint_closed_there:
        operations: "cautions,model" => "cautions,model,years", operations: "anode-seat,anode,,," => "anode-seat,anode,,,,2005-", joints: "anode-seat,yes" => "anode-seat,", positions: "" => "anode-seal,Gearcase,OR-10,,TK9,,,,anode-seat,,,";
    a_seal_that_a_job_brings_seals_its_joint:
        joints: "anode-seat,yes" => "anode-seat,", job_lines: "" => "renew-anode,,anode,OR-10,,";
    an_option_that_is_taken_and_denied_is_plain:
        job_lines: "" => "renew-anode,kit,vent,,,\nrenew-anode,not kit,drain-plug,,,";
    an_option_of_another_job_is_none_of_this_ones:
        job_lines: "" => "renew-anode,kits,vent,,,";
    a_job_line_that_names_an_operation_gets_at_its_positions:
        jobs: "" => "renew-reeds,", job_lines: "" => "renew-reeds,,reeds,,,\nrenew-reeds,,,,,open-head";
    a_position_that_an_operation_removes_is_in_reach:
        jobs: "" => "renew-reeds,", job_lines: "" => "renew-reeds,,reeds,,,", operations: "head-cover,," => "head-cover,reeds,";
    a_size_whose_tolerance_reaches_into_the_limits_is_within_them:
        seats: "10 h8,9.95" => "10 ±0.02,9.99";
    an_owners_type_takes_the_place_of_a_shipped_one:
        types: "" => "impeller,vane pump wheel,renew,no", parts: "HS-10,pump housing" => "HS-10,vane pump wheel";
    part_rows_of_numbers_that_differ_in_a_letter_are_two_parts:
        parts: "" => "GA-10A,screw,,,\nGA-10B,screw,,,";
    a_seal_on_the_shelf_may_be_for_whatever_turns_up:
        parts: "" => "OR-90,o-ring,,,", stock: "" => "OR-90,5,box";
    a_fluid_that_nothing_uses_yet_is_no_mistake:
        parts: "" => "OI-90,engine oil,,,";
    a_seal_that_an_operation_takes_off_needs_no_joint:
        positions: "anode,Gearcase,AN-10,,,,,,anode-seat" => "anode,Gearcase,AN-10,,,,,,";
    a_seal_that_is_kept_needs_no_joint:
        positions: "" => "plug-ring,Gearcase,OR-10,,,,,,,,keep,";
}
