//! Beside the kit: what may come off the shelf for what.

use super::*;

/// What comes off the shelf for the service of the mill: `1 S1`, sorted.
fn off_the_shelf(positions: &str, supersessions: &str, more: Typed) -> String {
    let positions = format!("position,part,joint,reached_by {positions}");
    let supersessions = format!("old,new,swap,needs {supersessions}");
    let mut typed = vec![
        ("positions", positions.as_str()),
        ("supersessions", supersessions.as_str()),
        ("stock", "part,quantity | S1,1 | S2,1"),
        ("suppliers", "supplier,name,currency | shop,Shop,EUR"),
        (
            "offers",
            "supplier,part,price | shop,S1,1.00 | shop,S2,1.00 | shop,S3,9.00 | shop,F2,1.00",
        ),
    ];
    typed.extend_from_slice(more);
    let order = from_command(&typed, "order service --on mill").expect("an order");
    let taken = order["from_stock"].as_array().expect("a list").iter();
    let bought = order["orders"].as_array().expect("a list").iter();
    let bought = bought.flat_map(|order| order["lines"].as_array().expect("lines"));
    let taken = taken.map(|item| format!("{} {}", item["quantity"], text(&item["part"])));
    let bought = bought.map(|line| format!("buy {}", text(&line["part"])));
    sorted(taken.chain(bought))
}

#[test]
fn an_earlier_number_that_swaps_both_ways_may_serve_wherever_the_later_is_wanted() {
    assert_eq!(off_the_shelf("| top,S3,face,", "| S1,S3,both-ways,", &[]), "1 S1");
}

#[test]
fn an_earlier_number_of_one_way_serves_only_a_position_whose_own_chain_begins_there_or_before() {
    assert_eq!(off_the_shelf("| top,S3,face,", "| S1,S3,one-way,", &[]), "buy S3");
    assert_eq!(off_the_shelf("| top,S1,face,", "| S1,S3,one-way,", &[]), "1 S1");
    assert_eq!(off_the_shelf("| top,S1,face,", "| S1,S3,,", &[]), "1 S1", "blank is one-way");
    let chain = "| S1,S2,one-way, | S2,S3,one-way,";
    assert_eq!(off_the_shelf("| top,S2,face,", chain, &[]), "1 S2");
    let both = off_the_shelf("| top,S1,face, | side,S2,face,", chain, &[]);
    assert_eq!(both, "1 S1, 1 S2");
}

#[test]
fn an_earlier_number_of_one_way_does_not_serve_over_a_need_and_is_never_bought() {
    let need = off_the_shelf("| top,S1,face, | side,F1,,-", "| S1,S3,one-way,side=F2", &[]);
    assert_eq!(need, "buy F2, buy S3");
    let two = off_the_shelf("| top,S1,face, | side,S1,face,", "| S1,S3,one-way,", &[]);
    assert_eq!(two, "1 S1, buy S3");
}

#[test]
fn an_earlier_number_of_one_way_does_not_serve_where_a_job_line_names_the_later_one() {
    let named = ("job_lines", "job,operation,position,part | service,open,top,S3");
    assert_eq!(off_the_shelf("| top,S1,face,", "| S1,S3,one-way,", &[named]), "buy S3");
}

#[test]
fn a_withdrawn_part_serves_nowhere() {
    let parts = ("parts", "part,type,status | K1,soft seal,withdrawn | K2,soft seal,");
    let stock = ("a/stock", "part,quantity | K1,1");
    let offers = ("a/offers", "supplier,part,price | shop,K2,1.00");
    for swap in ["one-way", "both-ways"] {
        let shelf =
            off_the_shelf("| top,K1,face,", &format!("| K1,K2,{swap},"), &[parts, stock, offers]);
        assert_eq!(shelf, "buy K2", "{swap}");
    }
}
