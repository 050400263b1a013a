//! Flat work made ready for a machine, against what the process can leave standing.

use super::{Finding, Severity};
use crate::base::{Vec2, several};
use crate::form::flat::{Prepared, Sheet};

/// Within this part above a limit a measure is worth a note.
const NEAR: f64 = 0.2;

/// Everything that is looked at, sheet by sheet, in a fixed order.
pub fn findings(work: &Prepared) -> Vec<Finding> {
    let mut found = vec![islands(work)];
    for (i, sheet) in work.sheets.iter().enumerate() {
        let mut of_sheet = sheet_findings(work, sheet);
        if work.sheets.len() > 1 {
            of_sheet.iter_mut().for_each(|f| f.sentence = format!("sheet {}: {}", i + 1, f.sentence));
        }
        found.extend(of_sheet);
    }
    found.push(figures(work));
    found.push(Finding {
        rule: "caution",
        sentence: work.process.method.caution().into(),
        looked: "not at all".into(),
        ..Finding::new(Severity::Note)
    });
    found
}

fn sheet_findings(work: &Prepared, sheet: &Sheet) -> Vec<Finding> {
    let mut found = vec![
        strip(work, sheet),
        gap(work, sheet),
        smallest(work, sheet),
        eaten(work, sheet),
        hollow(work, sheet),
        doubled(sheet),
    ];
    found.extend(crowded(work, sheet));
    found.extend(crossed(sheet));
    found.extend(shared(work, sheet));
    found.extend(overlap(sheet));
    found.extend(sheet.used.map(|used| Finding {
        rule: "use of the sheet",
        measured: Some(100.0 * used),
        unit: "%",
        sentence: format!(
            "{} {:.1} % of the sheet",
            several(sheet.pieces, "piece uses", "pieces use"),
            100.0 * used
        ),
        looked: "areas of outlines".into(),
        ..Finding::new(Severity::Pass)
    }));
    if sheet.unlabelled > 0 {
        found.push(Finding {
            rule: "labels",
            measured: Some(sheet.unlabelled as f64),
            sentence: format!(
                "{} no room for a number",
                several(sheet.unlabelled, "piece has", "pieces have")
            ),
            looked: "every piece".into(),
            mend: "mark them by hand",
            ..Finding::new(Severity::Note)
        });
    }
    if sheet.leadless > 0 {
        found.push(Finding {
            rule: "leads",
            measured: Some(sheet.leadless as f64),
            sentence: format!("{} cuts have no room for a lead and start on their line", sheet.leadless),
            looked: "along the straight and the longest pieces of every outline".into(),
            mend: "a smaller `lead`, or pieces further apart",
            ..Finding::new(Severity::Note)
        });
    }
    if work.ask.tabs > 0 {
        found.push(Finding {
            rule: "tabs",
            measured: Some(sheet.tabs as f64),
            sentence: format!("{} tabs hold the pieces in the sheet; break and file them", sheet.tabs),
            looked: "every outline".into(),
            ..Finding::new(if sheet.tabs < 2 * sheet.pieces { Severity::Note } else { Severity::Pass })
        });
    }
    found
}

fn at(p: Vec2) -> Option<[f64; 3]> {
    Some([p.x, p.y, 0.0])
}

fn place(p: Vec2) -> String {
    format!("({:.2}, {:.2})", p.x, p.y)
}

/// How a measure that must not be less than a limit comes out.
fn against(measured: f64, limit: f64) -> Severity {
    match measured {
        m if m < limit - 1e-6 => Severity::Fail,
        m if m < limit * (1.0 + NEAR) => Severity::Note,
        _ => Severity::Pass,
    }
}

fn strip(work: &Prepared, sheet: &Sheet) -> Finding {
    let limit = work.process.strip;
    let Some(thin) = sheet.thinnest else {
        return Finding {
            rule: "thinnest strip",
            limit: Some(limit),
            unit: "mm",
            sentence: "no two sides of a piece run near each other".into(),
            looked: format!("along every outline, for strips under {limit} mm"),
            ..Finding::new(Severity::Pass)
        };
    };
    let under = match thin.under {
        u if u > 0.0 => format!("; {u:.1} mm of outline are thinner than the limit"),
        _ => String::new(),
    };
    let severity = against(thin.width, limit);
    Finding {
        rule: "thinnest strip",
        measured: Some(thin.width),
        limit: Some(limit),
        unit: "mm",
        place: at(thin.place),
        sentence: format!(
            "the thinnest strip is {:.2} mm wide at {}, limit {limit} mm{under}",
            thin.width,
            place(thin.place)
        ),
        looked: format!("every {:.2} mm of outline, by the largest disc that fits", thin.step),
        mend: if severity == Severity::Fail {
            "widen it, scale the work up, or choose a thinner sheet"
        } else {
            ""
        },
        ..Finding::new(severity)
    }
}

fn gap(work: &Prepared, sheet: &Sheet) -> Finding {
    let (kerf, spacing) = (work.process.kerf, work.process.spacing);
    let Some(gap) = sheet.gap else {
        return Finding {
            rule: "narrowest gap",
            limit: Some(kerf),
            unit: "mm",
            sentence: "there is one piece, or pieces share their cuts".into(),
            looked: format!("along every outline, for gaps under {spacing} mm"),
            ..Finding::new(Severity::Pass)
        };
    };
    let severity = match gap.width {
        g if g < kerf - 1e-6 => Severity::Fail,
        g if g < spacing => Severity::Note,
        _ => Severity::Pass,
    };
    Finding {
        rule: "narrowest gap",
        measured: Some(gap.width),
        limit: Some(kerf),
        unit: "mm",
        place: at(gap.place),
        sentence: format!(
            "the narrowest gap is {:.2} mm at {}; the tool takes away {kerf} mm",
            gap.width,
            place(gap.place)
        ),
        looked: format!("every {:.2} mm of outline, by the largest disc that fits", gap.step),
        mend: if severity == Severity::Fail {
            "move the outlines apart, or let them share one cut"
        } else {
            ""
        },
        ..Finding::new(severity)
    }
}

fn smallest(work: &Prepared, sheet: &Sheet) -> Finding {
    let limit = work.process.piece;
    let Some((width, p)) = sheet.smallest else {
        return Finding {
            rule: "smallest piece",
            limit: Some(limit),
            unit: "mm",
            sentence: "there are lines and no pieces".into(),
            looked: "every outline".into(),
            ..Finding::new(Severity::Note)
        };
    };
    // Tabs hold what the machine would lose.
    let held = sheet.tabs > 0 && sheet.tabs >= 2 * sheet.pieces;
    let severity = match against(width, limit) {
        Severity::Fail if held => Severity::Note,
        other => other,
    };
    let small = width < limit - 1e-6;
    Finding {
        rule: "smallest piece",
        measured: Some(width),
        limit: Some(limit),
        unit: "mm",
        place: at(p),
        sentence: format!("the smallest piece is {width:.2} mm wide, at {}, limit {limit} mm", place(p)),
        looked: "every outline, in the direction in which it is narrowest".into(),
        mend: match small {
            true if held => "tabs hold it while it is cut; catch it when they are broken",
            true => "it falls through the machine or is lost: hold it by `tabs`, enlarge it or leave it out",
            false => "",
        },
        ..Finding::new(severity)
    }
}

fn eaten(work: &Prepared, sheet: &Sheet) -> Finding {
    let kerf = work.process.kerf;
    let smallest = sheet
        .hole
        .map_or(String::new(), |(w, p)| format!("; the smallest opening is {w:.2} mm wide, at {}", place(p)));
    match sheet.vanished.first() {
        None => Finding {
            rule: "openings",
            measured: sheet.hole.map(|h| h.0),
            limit: Some(kerf),
            unit: "mm",
            place: sheet.hole.and_then(|h| at(h.1)),
            sentence: format!("every opening is wider than the kerf of {kerf} mm{smallest}"),
            looked: "every outline".into(),
            ..Finding::new(Severity::Pass)
        },
        Some(p) => Finding {
            rule: "openings",
            measured: sheet.hole.map(|h| h.0),
            limit: Some(kerf),
            unit: "mm",
            place: at(*p),
            sentence: format!(
                "{} openings are narrower than the kerf of {kerf} mm and are not cut, the first at {}{smallest}",
                sheet.vanished.len(),
                place(*p)
            ),
            looked: "every outline".into(),
            mend: "widen them, or draw them as single lines",
            ..Finding::new(Severity::Fail)
        },
    }
}

fn hollow(work: &Prepared, sheet: &Sheet) -> Finding {
    let limit = work.process.radius;
    match sheet.hollow.filter(|(r, _)| *r < limit) {
        None => Finding {
            rule: "hollow corners",
            measured: sheet.hollow.map(|h| h.0),
            limit: Some(limit),
            unit: "mm",
            sentence: format!("no hollow corner is sharper than the tool's {limit} mm"),
            looked: "every arc and corner".into(),
            ..Finding::new(Severity::Pass)
        },
        Some((r, p)) => Finding {
            rule: "hollow corners",
            measured: Some(r),
            limit: Some(limit),
            unit: "mm",
            place: at(p),
            sentence: format!(
                "hollow corners of radius {r:.2} mm come out with {limit} mm, the first at {}",
                place(p)
            ),
            looked: "every arc and corner".into(),
            mend: "round them by `fillet` if parts are to fit there",
            ..Finding::new(Severity::Note)
        },
    }
}

fn doubled(sheet: &Sheet) -> Finding {
    let length: f64 = sheet.doubled.iter().map(|d| d.length).sum();
    match sheet.doubled.first() {
        None => Finding {
            rule: "doubled lines",
            measured: Some(0.0),
            unit: "mm",
            sentence: "no line lies on another".into(),
            looked: "every pair of lines, to 0.01 mm".into(),
            ..Finding::new(Severity::Pass)
        },
        Some(first) => Finding {
            rule: "doubled lines",
            measured: Some(length),
            unit: "mm",
            place: at(first.place),
            sentence: format!(
                "{} stretches, {length:.1} mm in all, lay on others and are cut once, the first at {}",
                sheet.doubled.len(),
                place(first.place)
            ),
            looked: "every pair of lines, to 0.01 mm".into(),
            ..Finding::new(Severity::Note)
        },
    }
}

fn crowded(work: &Prepared, sheet: &Sheet) -> Option<Finding> {
    let (longest, total) = sheet.crowded?;
    Some(Finding {
        rule: "near lines",
        measured: Some(total),
        limit: Some(0.0),
        unit: "mm",
        place: at(longest.place),
        sentence: format!(
            "{total:.1} mm of cuts run nearer than {} mm beside others, the longest at {}",
            work.process.spacing,
            place(longest.place)
        ),
        looked: "every pair of lines, where they run side by side for six times that".into(),
        mend: "if one line was meant, draw it once; if a strip, widen it",
        ..Finding::new(Severity::Note)
    })
}

fn crossed(sheet: &Sheet) -> Option<Finding> {
    let first = sheet.crossed.first()?;
    Some(Finding {
        rule: "crossing cuts",
        measured: Some(sheet.crossed.len() as f64),
        limit: Some(0.0),
        place: at(*first),
        sentence: format!(
            "lines to be cut cross one another or an outline at {} places, the first at {}",
            sheet.crossed.len(),
            place(*first)
        ),
        looked: "every pair of lines".into(),
        mend: "where a slit is not meant, make a region of the line with `band`, or draw or score it",
        ..Finding::new(Severity::Note)
    })
}

fn shared(work: &Prepared, sheet: &Sheet) -> Option<Finding> {
    (sheet.shared > 0.0).then(|| Finding {
        rule: "shared edges",
        measured: Some(sheet.shared),
        unit: "mm",
        sentence: format!(
            "{:.1} mm of edges are shared and cut once: each side loses {:.3} mm there",
            sheet.shared,
            0.5 * work.process.kerf
        ),
        looked: "every edge between two pieces".into(),
        mend: "where size matters, set pieces one kerf apart",
        ..Finding::new(Severity::Note)
    })
}

fn overlap(sheet: &Sheet) -> Option<Finding> {
    (sheet.overlap > 1e-6).then(|| Finding {
        rule: "overlap",
        measured: Some(sheet.overlap),
        limit: Some(0.0),
        unit: "mm²",
        sentence: format!("pieces lie over one another on {:.2} mm² and are cut as one", sheet.overlap),
        looked: "areas of outlines".into(),
        mend: "move them apart, or lay them out on a sheet",
        ..Finding::new(Severity::Note)
    })
}

fn islands(work: &Prepared) -> Finding {
    match work.islands.first() {
        None => Finding {
            rule: "islands",
            measured: Some(0.0),
            sentence: match work.bridges {
                0 => "nothing lies loose in an opening".into(),
                n => format!("nothing lies loose in an opening; {n} bridges hold what did"),
            },
            looked: "every outline".into(),
            ..Finding::new(Severity::Pass)
        },
        Some(p) => Finding {
            rule: "islands",
            measured: Some(work.islands.len() as f64),
            place: at(*p),
            sentence: format!(
                "{}, the first at {}",
                several(
                    work.islands.len(),
                    "piece lies in an opening of another and falls out",
                    "pieces lie in openings of others and fall out"
                ),
                place(*p)
            ),
            looked: "every outline".into(),
            mend: "`bridges: 2` holds them, if they are to stay",
            ..Finding::new(Severity::Note)
        },
    }
}

fn figures(work: &Prepared) -> Finding {
    let p = &work.process;
    Finding {
        rule: "figures",
        sentence: format!(
            "kerf {} mm, strips from {} mm, pieces from {} mm ({}): a start; cut a test square and measure it",
            p.kerf, p.strip, p.piece, p.source
        ),
        looked: "not at all".into(),
        ..Finding::new(Severity::Unknown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;
    use crate::craft::told;
    use crate::form::flat::{Ask, Flat, Meaning, all, difference, disc, polygon, polyline, prepare, union};
    use crate::form::shift;

    fn severity(flat: &Flat, rule: &str) -> Severity {
        let work =
            prepare(std::slice::from_ref(flat), &told("laser plywood 3").unwrap(), &Ask::default()).unwrap();
        findings(&work).iter().find(|f| f.rule == rule).unwrap().severity
    }

    fn bar(width: f64) -> Flat {
        let (a, h) = (20.0, 0.5 * width);
        let points = [[-a, -h], [a, -h], [a, h], [-a, h]].map(Vec2::from);
        let ends = [-a, a].map(|x| shift(&disc(8.0).unwrap(), Vec3::new(x, 0.0, 0.0)).unwrap());
        union(&union(&polygon(&points, 0.0).unwrap(), &ends[0]), &ends[1])
    }

    #[test]
    fn a_strip_passes_at_the_limit_and_fails_below() {
        assert_eq!(severity(&bar(3.7), "thinnest strip"), Severity::Pass);
        assert_eq!(severity(&bar(3.01), "thinnest strip"), Severity::Note);
        assert_eq!(severity(&bar(2.98), "thinnest strip"), Severity::Fail);
    }

    #[test]
    fn pieces_openings_and_islands_are_judged() {
        assert_eq!(severity(&disc(1.4).unwrap(), "smallest piece"), Severity::Fail);
        assert_eq!(severity(&disc(1.9).unwrap(), "smallest piece"), Severity::Pass);
        let washer = difference(&disc(8.0).unwrap(), &disc(3.0).unwrap());
        for (tabs, wanted) in [(0, Severity::Fail), (2, Severity::Note)] {
            let ask = Ask { lead: 1.5, tabs, ..Ask::default() };
            let process = told("water jet stainless steel 3").unwrap();
            let work = prepare(std::slice::from_ref(&washer), &process, &ask).unwrap();
            let found = findings(&work);
            assert_eq!(found.iter().find(|f| f.rule == "smallest piece").unwrap().severity, wanted, "{tabs}");
        }
        let pierced = |r: f64| difference(&disc(20.0).unwrap(), &disc(r).unwrap());
        assert_eq!(severity(&pierced(0.11), "openings"), Severity::Pass);
        assert_eq!(severity(&pierced(0.09), "openings"), Severity::Fail);
        assert_eq!(severity(&pierced(9.0), "islands"), Severity::Pass);
        assert_eq!(severity(&union(&pierced(9.0), &disc(4.0).unwrap()), "islands"), Severity::Note);
    }

    #[test]
    fn lines_that_cross_are_told() {
        let line = |a: [f64; 2], b: [f64; 2]| polyline(&[a, b].map(Vec2::from), false).unwrap();
        let one = line([-15.0, 0.0], [15.0, 0.0]).on_layer("slits", Meaning::Cut);
        let two = line([0.0, -15.0], [0.0, 15.0]).on_layer("slits", Meaning::Cut);
        let told = |flats: &[Flat]| {
            let process = crate::craft::told("laser plywood 3").unwrap();
            let work = prepare(&[all(flats)], &process, &Ask::default()).unwrap();
            findings(&work).iter().find(|f| f.rule == "crossing cuts").and_then(|f| f.measured)
        };
        let plate = disc(40.0).unwrap();
        assert_eq!(told(&[plate.clone(), one.clone()]), None);
        assert_eq!(told(&[plate.clone(), one.clone(), two.clone()]), Some(1.0));
        // A line across the rim, on both sides; one that is only scored crosses nothing.
        let long = line([-50.0, 5.0], [50.0, 5.0]);
        assert_eq!(told(&[plate.clone(), long.on_layer("slits", Meaning::Cut)]), Some(2.0));
        assert_eq!(told(&[plate, long.on_layer("folds", Meaning::Score)]), None);
    }

    #[test]
    fn every_finding_says_how_it_looked_and_none_says_safe() {
        let work = prepare(&[bar(2.0)], &told("laser plywood 3").unwrap(), &Ask::default()).unwrap();
        for f in findings(&work) {
            assert!(!f.rule.is_empty() && !f.sentence.is_empty() && !f.looked.is_empty(), "{f:?}");
            assert!(!f.sentence.contains("safe"), "{f:?}");
            assert!(f.severity != Severity::Fail || !f.mend.is_empty(), "{f:?}");
        }
    }
}
