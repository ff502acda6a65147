//! Rows that disagree.

use super::*;

#[test]
fn rows_of_a_disturbed_position_that_differ_in_part_or_quantity_overlap() {
    let with = |first: &str, second: &str| {
        let positions = format!("position,part,quantity,name,joint | top,{first} | top,{second}");
        gaps(&service(&[("positions", &positions)]))
    };
    assert_eq!(with("S1,1,,face", "S2,1,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "S1,2,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "S1,set,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "-,1,,face"), "overlap top");
    assert_eq!(
        with("S1,1,,face", "s-1,1,ring,face"),
        "",
        "another spelling or name is no difference"
    );
    assert_eq!(
        with("L1,1 L,,face", "L1,1000 ml,,face"),
        "",
        "the same amount in another unit is no difference"
    );
}

#[test]
fn rows_of_an_operation_in_the_plan_that_differ_in_what_they_do_overlap() {
    let with = |first: &str, second: &str| {
        let operations = format!(
            "operation,needs,opens,removes,uses,minutes | open,{first} | open,{second} | safe,"
        );
        gaps(&service(&[("operations", &operations), ("positions", "position,part | top,F1")]))
    };
    assert_eq!(with(",face,,,", "safe,face,,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face;lid,,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face,top,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face,,L1=1 L,"), "overlap open");
    assert_eq!(
        with(",face,,,10", ",face,,,20"),
        "",
        "how long it takes changes nothing in the kit"
    );
}

#[test]
fn a_row_that_may_apply_and_differs_leaves_it_unsettled() {
    let kit = service_of_stray(&[
        (
            "positions",
            "position,part,years,joint | top,S1,,face | top,S2,-2000,face | side,S1,,face | side,S1,-2000,face",
        ),
        ("operations", "operation,opens,years | open,face, | open,face;lid,-2000"),
    ]);
    assert_eq!(gaps(&kit), "not-settled open, not-settled top");
}

#[test]
fn rows_that_all_only_may_apply_leave_it_unsettled_although_they_agree() {
    let kit = service_of_stray(&[
        ("positions", "position,part,years,joint | top,S1,2005-,face | top,S1,-2004,face"),
        ("operations", "operation,opens,years | open,face,-2000"),
    ]);
    assert_eq!(gaps(&kit), "not-settled open, not-settled top");
}

#[test]
fn the_log_settles_what_rows_of_a_position_disagree_on() {
    let kit = service_of_stray(&[
        (
            "positions",
            "position,part,years,joint | top,S1,,face | top,S2,,face | side,S1,-2000,face",
        ),
        ("worklog", "date,machine,position,part | ,stray,top,S3 | ,stray,side,S3"),
    ]);
    assert_eq!(
        (lines(&kit).as_str(), gaps(&kit).as_str()),
        ("2 S3 single-use for top+side", "not-settled side")
    );
}

#[test]
fn what_lies_outside_the_plan_raises_nothing() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | top,S1,face | side,S1,lid | side,S2,lid | base,X1,lid",
        ),
        ("operations", "operation,opens,needs | open,face, | pry,lid, | pry,,ghost"),
    ]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn rows_of_a_disturbed_position_that_differ_in_where_it_sits_or_what_becomes_of_it_overlap() {
    for (column, one, other) in [
        ("joint", "face", "face;lid"),
        ("reached_by", "open", "dig"),
        ("carried_by", "side", "base"),
        ("when_disturbed", "renew", "keep"),
    ] {
        let joint = if column == "joint" { "" } else { ",joint" };
        let face = if column == "joint" { "" } else { ",face" };
        let rows =
            format!("position,part,{column}{joint} | top,F1,{one}{face} | top,F1,{other}{face}");
        let kit = service(&[("positions", &rows)]);
        assert_eq!(gaps(&kit), "overlap top", "{column}");
    }
}

#[test]
fn the_log_settles_the_part_but_not_the_rest() {
    let log = ("worklog", "date,machine,position,part | ,mill,top,F3");
    let rows = ("positions", "position,part,joint | top,F1,face | top,F2,face");
    assert_eq!(gaps(&service(&[rows, log])), "");
    let rows = ("positions", "position,part,quantity,joint | top,F1,1,face | top,F1,2,face");
    assert_eq!(gaps(&service(&[rows, log])), "overlap top");
    let counted = ("worklog", "date,machine,position,part,quantity | ,mill,top,F3,1");
    assert_eq!(gaps(&service(&[rows, counted])), "");
}

#[test]
fn rows_of_an_operation_that_differ_in_phase_overlap() {
    let kit = service(&[("operations", "operation,opens,phase | open,face, | open,face,after")]);
    assert_eq!(gaps(&kit), "overlap open");
}

#[test]
fn rows_of_one_number_among_the_parts_that_differ_overlap_where_the_kit_rests_on_them() {
    for (column, cell) in
        [("type", "soft seal"), ("single_use", "yes"), ("unit", "mm"), ("status", "discontinued")]
    {
        let parts = match column {
            "type" => format!("part,type | K1,fastener | K-1,{cell}"),
            _ => format!("part,type,{column} | K1,fastener, | K-1,fastener,{cell}"),
        };
        let at = |joint: &str| {
            let positions = format!("position,part,joint | top,K1,{joint}");
            gaps(&service(&[("parts", &parts), ("positions", &positions)]))
        };
        assert_eq!(at("face"), "overlap K1", "{column}");
        assert_eq!(at("lid"), "", "{column}, outside the plan");
    }
    let same = "part,type,name | K1,fastener,Screw | K1,fastener,Long screw";
    let kit = service(&[("parts", same), ("positions", "position,part,joint | top,K1,face")]);
    assert_eq!(gaps(&kit), "");
}
