//! The commands and options, as a user types them.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

const EXAMPLES: &str = "\
Examples:
  ogee                                               type a formula or script lines and see them
  ogee see 'sin x cos y + sin y cos z + sin z cos x = 0'
  ogee see 'x^4 + y^4 + z^4 = 1' --size 60 --wall 2 -o pillow.png
  ogee make 'x^4 + y^4 + z^4 < 1' --size 60 -o pillow
  ogee read 'x^2y + 1/2z' --at 1,2,3
  ogee copy drop-pendant && ogee make drop-pendant.ogee --set height=50 -o pendant

A FORMULA is text as you find it: plain, TeX, Unicode or a line of code, in x, y, z. Lengths are mm.
Exit status: 0 done, 1 a finding fails, 2 the input is at fault.";

/// From a pasted formula to a file that a workshop accepts.
#[derive(Debug, Parser)]
#[command(name = "ogee", version, about, after_help = EXAMPLES, disable_help_subcommand = true)]
pub struct Line {
    #[command(subcommand)]
    pub command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Show a formula or script as a picture
    See(See),
    /// Write what a formula or script makes: meshes, picture, report, script
    Make(Make),
    /// Tell how a pasted text is understood, and its values
    Read(Read),
    /// List the words of the language, or explain one
    Words(Words),
    /// List the worked scripts that come with the program
    Scripts(Scripts),
    /// Put a copy of a worked script here, to edit
    Copy(Copy),
}

/// What several commands share.
#[derive(Debug, Default, Args)]
pub struct Shared {
    /// Longest side, mm, of a formula's shape
    #[arg(long, value_name = "MM", value_parser = length, allow_hyphen_values = true)]
    pub size: Option<f64>,
    /// Thickness, mm, that a formula's surface gets
    #[arg(long, value_name = "MM", value_parser = length, allow_hyphen_values = true)]
    pub wall: Option<f64>,
    /// How far the mesh may lie from the exact shape, mm
    #[arg(long, value_name = "MM", value_parser = length, allow_hyphen_values = true)]
    pub tolerance: Option<f64>,
    /// Give a parameter of the script or formula a value; repeat for more
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = setting)]
    pub settings: Vec<(String, String)>,
    /// Tell the outcome as JSON
    #[arg(long)]
    pub json: bool,
    /// Say nothing but faults
    #[arg(long, short)]
    pub quiet: bool,
}

#[derive(Debug, Args)]
pub struct See {
    /// A formula, script text, the path of a script, or - for standard input
    #[arg(allow_hyphen_values = true, value_name = "FORMULA|SCRIPT")]
    pub what: String,
    /// Write the picture to this PNG file
    #[arg(long, short, value_name = "PNG")]
    pub output: Option<PathBuf>,
    #[command(flatten)]
    pub look: LookAsked,
    #[command(flatten)]
    pub shared: Shared,
}

/// How a picture is to look.
#[derive(Debug, Default, Args)]
pub struct LookAsked {
    /// Width and height of the picture in the file
    #[arg(long, value_name = "N", default_value_t = 1000, value_parser = clap::value_parser!(u32).range(16..=8192))]
    pub pixels: u32,
    /// Where to stand, degrees: turn about the upright axis, height above the horizon
    #[arg(long, value_name = "TURN,HEIGHT", value_parser = view, allow_hyphen_values = true)]
    pub from: Option<(f64, f64)>,
    /// What it seems made of: plaster, bronze, porcelain, nylon, glass or wax [default: by the piece's process]
    #[arg(long, value_name = "NAME")]
    pub material: Option<String>,
}

#[derive(Debug, Args)]
pub struct Make {
    /// A formula, script text, the path of a script, or - for standard input
    #[arg(allow_hyphen_values = true, value_name = "FORMULA|SCRIPT")]
    pub what: String,
    /// The folder to write into; made if missing
    #[arg(long, short, value_name = "DIR")]
    pub output: PathBuf,
    /// A format: 3mf, stl, ply, obj, glb of solids, svg, dxf, pdf, plt of flats; repeat for more [default: 3mf, stl, svg, dxf]
    #[arg(long = "format", value_name = "FORMAT", value_delimiter = ',')]
    pub formats: Vec<String>,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, Args)]
pub struct Read {
    /// The text, or - for standard input
    #[arg(allow_hyphen_values = true)]
    pub text: String,
    /// Give a name a value; repeat for more
    #[arg(long = "let", value_name = "NAME=NUMBER", value_parser = number_setting, allow_hyphen_values = true)]
    pub lets: Vec<(String, f64)>,
    /// Tell the value here: x,y,z of a field, t of a curve, u,v of a surface; repeat for more
    #[arg(long = "at", value_name = "X,Y,Z", value_parser = point, allow_hyphen_values = true)]
    pub points: Vec<Point>,
    /// Tell the outcome as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Words {
    /// A word to explain
    pub name: Option<String>,
    /// All that is known, as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Scripts {
    /// All that is known, as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Copy {
    /// A script as `ogee scripts` names it
    pub name: String,
    /// The file to write [default: NAME.ogee here]
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Numbers with commas between.
#[derive(Clone, Debug, PartialEq)]
pub struct Point(pub Vec<f64>);

fn number(text: &str) -> Result<f64, String> {
    let text = text.trim().replace('\u{2212}', "-");
    text.parse().ok().filter(|n: &f64| n.is_finite()).ok_or_else(|| format!("`{text}` is no number"))
}

fn length(text: &str) -> Result<f64, String> {
    let mm = number(text.trim().trim_end_matches("mm"))?;
    if mm > 0.0 && mm <= 1e6 { Ok(mm) } else { Err("a length in mm between 0 and 1000000".into()) }
}

fn point(text: &str) -> Result<Point, String> {
    let text = text.trim().trim_start_matches(['(', '[']).trim_end_matches([')', ']']);
    text.split(',').map(number).collect::<Result<_, _>>().map(Point)
}

fn view(text: &str) -> Result<(f64, f64), String> {
    match point(text)?.0[..] {
        [turn, height] if (-90.0..=90.0).contains(&height) => Ok((turn, height)),
        _ => Err("two angles in degrees, the height from -90 to 90".into()),
    }
}

/// A `name=value` with any value.
pub fn setting(text: &str) -> Result<(String, String), String> {
    let (name, value) = text.split_once('=').ok_or("write it as NAME=VALUE")?;
    let (name, value) = (name.trim(), value.trim());
    if name.is_empty() || value.is_empty() {
        return Err("write it as NAME=VALUE".into());
    }
    if name.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(format!("`{name}` is no name: write it as NAME=VALUE"));
    }
    Ok((name.into(), value.into()))
}

fn number_setting(text: &str) -> Result<(String, f64), String> {
    let (name, value) = setting(text)?;
    Ok((name, number(&value)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_commands_are_well_formed() {
        Line::command().debug_assert();
    }

    #[test]
    fn values_may_begin_with_a_minus() {
        let line =
            Line::parse_from(["ogee", "read", "-x^2 + y", "--at", "-1,2,-3", "--let", "a=-2", "--json"]);
        let Some(Command::Read(read)) = line.command else { panic!("{line:?}") };
        assert_eq!((read.text.as_str(), read.json), ("-x^2 + y", true));
        assert_eq!(read.points, [Point(vec![-1.0, 2.0, -3.0])]);
        assert_eq!(read.lets, [("a".to_owned(), -2.0)]);
        let line = Line::parse_from(["ogee", "read", "--json", "-", "--at", "-.5e-3"]);
        let Some(Command::Read(read)) = line.command else { panic!("{line:?}") };
        assert_eq!((read.text.as_str(), read.points), ("-", vec![Point(vec![-0.5e-3])]));
    }

    #[test]
    fn bad_values_are_told() {
        for line in [
            &["ogee", "see", "x", "--size", "0"][..],
            &["ogee", "see", "x", "--wall", "thick"],
            &["ogee", "see", "x", "--set", "a"],
            &["ogee", "read", "x", "--at", "1,two"],
            &["ogee", "read", "x", "--let", "a=nan"],
        ] {
            assert!(Line::try_parse_from(line).is_err(), "{line:?}");
        }
    }
}
