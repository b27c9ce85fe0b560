//! Every mistake in a study file is one complaint, with its line, before anything is solved.

use crate::read;

const AXIS: &str =
    "[[axis]]\nname = \"a\"\nkey = \"stage.1.applied_expansion\"\nvalues = [0.02, 0.03]\n";

/// The rest of a study file, its line at fault, the beginning of the problem, a word of the remedy.
const WRONG: [(&str, usize, &str, &str); 25] = [
    ("", 1, "this file has no `axis`", "[[axis]]"),
    ("axes = 3\n", 2, "`axes` is no key of this file", "axis"),
    (
        "[[axis]]\nname = \"a\"\nkey = \"plate.thicknes\"\nvalues = [1]\n",
        4,
        "`plate.thicknes`: `thicknes` is no key",
        "thickness",
    ),
    (
        "[[axis]]\nname = \"a\"\nkey = \"hole.B.at.x\"\nvalues = [1]\n",
        2,
        "`hole.B.at.x`: the base case has no `B`",
        "disc.toml",
    ),
    ("[[axis]]\nname = \"a\"\nvalues = [1, 1]\n", 4, "this value stands twice", "once"),
    ("[[axis]]\nname = \"a\"\nvalues = []\n", 4, "`values` holds 0 values", "1 to"),
    (
        "[[axis]]\nname = \"sin\"\nvalues = [1]\n",
        3,
        "`sin` cannot be used in expressions",
        "letters",
    ),
    ("[[axis]]\nname = \"case\"\nvalues = [1]\n", 3, "the name `case` is taken", "another"),
    ("[[axis]]\nname = \"a\"\nfrom = 2\nto = 1\n", 5, "the range goes from 2 to 1", "larger"),
    (
        "[[axis]]\nname = \"a\"\nfrom = 0\nto = 1\ncount = 3\nspacing = \"logarithmic\"\n",
        4,
        "a logarithmic range cannot start at 0",
        "above zero",
    ),
    (
        "[[axis]]\nname = \"a\"\nfrom = 0\nto = 1\n",
        2,
        "the range of axis `a` has no `count`",
        "Latin",
    ),
    (
        "[[axis]]\nname = \"a\"\nvalues = [1]\nfrom = 0\n",
        5,
        "this axis has both `values` and `from`",
        "`values`",
    ),
    (
        "[[axis]]\nname = \"a\"\nkey = \"hardening\"\nvalues = [\"isotropc\"]\n",
        5,
        "`isotropc` is no hardening",
        "isotropic",
    ),
    ("{AXIS}{AXIS}", 7, "the name `a` stands twice", "own"),
    (
        "{AXIS}[[value]]\nname = \"b\"\nexpression = \"c + 1\"\n[[value]]\nname = \"c\"\nexpression = \"b * a\"\n",
        8,
        "these values need each other: b, c",
        "circle",
    ),
    (
        "{AXIS}[[value]]\nname = \"b\"\nexpression = \"a +\"\n",
        8,
        "`a +` is no expression",
        "example",
    ),
    (
        "{AXIS}[[value]]\nname = \"b\"\nexpression = \"expansoin * 2\"\n",
        8,
        "the study has no axis `expansoin`",
        "a",
    ),
    (
        "{AXIS}[[set]]\nkey = \"stage.1.applied_expansion\"\nto = \"a\"\n",
        7,
        "`stage.1.applied_expansion` is set twice",
        "once",
    ),
    ("skip = [\"ligament < 1\"]\n{AXIS}", 2, "the study has no axis `ligament`", "a"),
    (
        "{AXIS}[[number]]\nname = \"n\"\nmeasure = \"edge_hop\"\n",
        8,
        "`edge_hop` is no measure",
        "edge_hoop",
    ),
    (
        "{AXIS}[[number]]\nname = \"n\"\nmeasure = \"hoop_at\"\n",
        6,
        "number 1 has no `distance`",
        "hoop_at",
    ),
    (
        "{AXIS}[[chart]]\nnumber = \"n\"\nx = \"a\"\n",
        7,
        "the study has no number `n`",
        "[[number]]",
    ),
    (
        "{AXIS}[[number]]\nname = \"n\"\nmeasure = \"edge_hoop\"\n[[chart]]\nnumber = \"n\"\nx = \"a\"\nspacing = \"log\"\n",
        12,
        "`log` is no spacing",
        "logarithmic",
    ),
    (
        "{AXIS}[search]\nfind = \"smallest\"\nof = \"a\"\nsuch_that = \"a > 0\"\n",
        8,
        "the axis `a` has no range to search",
        "from",
    ),
    ("[design]\nmethod = \"latin hypercube\"\n{AXIS}", 2, "[design] has no `count`", "how many"),
];

#[test]
fn every_mistake_is_told_with_its_line() {
    for (rest, line, problem, remedy) in WRONG {
        let rest = rest.replace("{AXIS}", AXIS);
        let complaint = read(&rest).expect_err(&rest);
        let place = complaint.place.map(|(line, _)| line);
        assert!(complaint.problem.starts_with(problem), "{rest}\n{complaint}");
        assert_eq!(place, Some(line), "{rest}\n{complaint}");
        assert!(complaint.hint().contains(remedy), "{rest}\n{complaint}\n{}", complaint.hint());
    }
}

#[test]
fn a_thousand_million_cases_are_rejected_before_any_is_made() {
    let axis = |k: usize| format!("[[axis]]\nname = \"a{k}\"\nfrom = 1\nto = 2\ncount = 1000\n");
    let complaint = read(&[axis(1), axis(2), axis(3)].concat()).unwrap_err();
    assert!(complaint.problem.contains("1000000000 cases"), "{complaint}");
}

#[test]
fn a_base_case_with_a_mistake_is_told_with_its_own_line() {
    let base = crate::BASE.replace("thickness = 3.0", "thickness = -3.0");
    let text = format!("case = \"disc.toml\"\n{AXIS}");
    let complaint =
        hoopset::case::study::parse(&text, "study.toml", |_| Ok((base, "disc.toml".to_owned())))
            .unwrap_err();
    assert_eq!((complaint.file.as_str(), complaint.place.map(|p| p.0)), ("disc.toml", Some(5)));
}
