//! `instep faces`: what comes with the program.

use clap::Args;
use instep::files::bundled::{Bundled, FACES};
use serde::Serialize;

use super::Verdict;
use super::screen::{HEADING, Stop, show};

/// List the bundled faces, or show one to build your own on.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep faces
  instep faces --show lantern-smile > my-face.toml")]
pub(crate) struct Faces {
    /// Print the file of one face.
    #[arg(long, value_name = "NAME", value_parser = bundled)]
    show: Option<Bundled>,
    /// Print the list as JSON.
    #[arg(long, conflicts_with = "show")]
    json: bool,
}

#[derive(Serialize)]
struct Listed {
    name: &'static str,
    about: &'static str,
}

impl Faces {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let text = if let Some(face) = self.show {
            face.text.to_owned()
        } else if self.json {
            let list: Vec<Listed> = FACES
                .iter()
                .map(|face| Listed {
                    name: face.name,
                    about: face.about(),
                })
                .collect();
            serde_json::to_string_pretty(&list).map_err(Stop::because)? + "\n"
        } else {
            let column = FACES.iter().map(|face| face.name.len()).max().unwrap_or(0);
            FACES
                .iter()
                .map(|face| {
                    let name = format!("{:column$}", face.name);
                    format!("{HEADING}{name}{HEADING:#}  {}\n", face.about())
                })
                .collect()
        };
        show(&text)?;
        Ok(Verdict::Good)
    }
}

fn bundled(name: &str) -> Result<Bundled, String> {
    Bundled::named(name).ok_or_else(|| {
        let names: Vec<&str> = FACES.iter().map(|face| face.name).collect();
        format!("expected one of {}", names.join(", "))
    })
}
