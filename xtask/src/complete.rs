//! Writes shell completions and the manual page, from the definitions of the command itself.

use std::path::Path;
use std::process::Command;

use crate::{files, run};

/// Shell, and the name its completions go by.
const SHELLS: [(&str, &str); 4] =
    [("bash", "holefast.bash"), ("zsh", "_holefast"), ("fish", "holefast.fish"), ("elvish", "holefast.elv")];

/// The chore.
pub fn write(folder: &str) -> Result<(), String> {
    let folder = Path::new(folder);
    std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let cargo = || {
        let mut command = Command::new("cargo");
        command.current_dir(files::root());
        command
    };
    run::plainly(cargo().args(["build", "--release", "--package", "holefast-cli"]))?;
    let save = |arguments: &[&str], name: &str| {
        let mut command = cargo();
        command.args(["run", "--quiet", "--release", "--package", "holefast-cli", "--"]).args(arguments);
        let text = run::asked(&mut command).ok_or_else(|| format!("holefast {} failed", arguments.join(" ")))?;
        let path = folder.join(name);
        std::fs::write(&path, text + "\n").map_err(|e| format!("{}: {e}", path.display()))
    };
    for (shell, name) in SHELLS {
        save(&["complete", shell], name)?;
    }
    save(&["manual"], "holefast.1")?;
    for command in files::subcommands()? {
        save(&["manual", &command], &format!("holefast-{command}.1"))?;
    }
    Ok(())
}
