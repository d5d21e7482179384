//! `completions` and `manual`: made from the argument parser, so that they never lag behind it.

use super::args::{Arguments, CompletionsArgs};
use super::exit::Exit;
use super::files::to_stdout;
use clap::CommandFactory;

/// A shell's completions.
pub fn completions(asked: &CompletionsArgs) -> Result<Exit, String> {
    let mut command = Arguments::command();
    let name = command.get_name().to_string();
    let mut text = Vec::new();
    clap_complete::generate(asked.shell, &mut command, name, &mut text);
    to_stdout(|out| out.write_all(&text))?;
    Ok(Exit::Done)
}

/// The manual page: the program, then each verb.
pub fn manual() -> Result<Exit, String> {
    let mut command = Arguments::command().disable_help_subcommand(true);
    command.build();
    let verbs: Vec<clap::Command> = command.get_subcommands().cloned().collect();
    to_stdout(|out| {
        clap_mangen::Man::new(command).render(out)?;
        for verb in verbs {
            let man = clap_mangen::Man::new(verb.clone());
            writeln!(out, ".SH VERB {}", verb.get_name().to_uppercase())?;
            man.render_synopsis_section(out)?;
            man.render_description_section(out)?;
            man.render_options_section(out)?;
        }
        Ok(())
    })?;
    Ok(Exit::Done)
}
