import type { Command } from 'commander';
import { EXIT, Stop } from './exit.ts';
import { demoDemonstrations, demoPlans } from './files.ts';
import type { Out } from './out.ts';

/** Prints what a shell needs to complete commands, options and the names of demo plans; made from the commands themselves. */
export function completion(shell: string, root: Command, out: Out): void {
  const commands = root.commands
    .filter((command) => command.name() !== 'keeper')
    .map((command) => ({
      name: command.name(),
      description: command.description().replaceAll(/['":\\[\]`$]/g, ''),
      options: command.options
        .map((option) => option.long)
        .filter((long) => long !== undefined && long !== null),
    }));
  const make = { bash, zsh, fish }[shell];
  if (!make)
    throw new Stop(EXIT.usage, `no completions for "${shell}"`, ['there are some for bash, zsh and fish']);
  out.print(make(commands, [...demoPlans(), ...demoDemonstrations()]));
}

interface Entry {
  readonly name: string;
  readonly description: string;
  readonly options: readonly string[];
}

function bash(commands: readonly Entry[], plans: readonly string[]): string {
  const cases = commands.map(
    ({ name, options }) => `    ${name}) words="${[...options, '--help'].join(' ')}" ;;`,
  );
  return `# thirdhand completion bash >> ~/.bash_completion
_thirdhand() {
  local current="\${COMP_WORDS[COMP_CWORD]}" words
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "${commands.map(({ name }) => name).join(' ')} --help --version" -- "$current"))
    return
  fi
  case "\${COMP_WORDS[1]}" in
${cases.join('\n')}
    *) words="" ;;
  esac
  case "$current" in
    -*) COMPREPLY=($(compgen -W "$words" -- "$current")) ;;
    *) COMPREPLY=($(compgen -f -W "${plans.join(' ')}" -- "$current")) ;;
  esac
}
complete -o filenames -F _thirdhand thirdhand`;
}

function zsh(commands: readonly Entry[], plans: readonly string[]): string {
  const cases = commands.map(
    ({ name, options }) =>
      `    ${name}) _arguments ${options.map((option) => `'${option}'`).join(' ')} '*:plan:_thirdhand_plans' ;;`,
  );
  return `#compdef thirdhand
_thirdhand_plans() {
  compadd ${plans.join(' ')}
  _files -g '*.yaml'
}
_thirdhand() {
  local -a commands=(
${commands.map(({ name, description }) => `    '${name}:${description}'`).join('\n')}
  )
  if (( CURRENT == 2 )); then
    _describe command commands
    return
  fi
  case "$words[2]" in
${cases.join('\n')}
  esac
}
compdef _thirdhand thirdhand`;
}

function fish(commands: readonly Entry[], plans: readonly string[]): string {
  const lines = commands.flatMap(({ name, description, options }) => [
    `complete -c thirdhand -n __fish_use_subcommand -a ${name} -d '${description}'`,
    ...options.map(
      (option) =>
        `complete -c thirdhand -n '__fish_seen_subcommand_from ${name}' -l ${option.replace('--', '')}`,
    ),
  ]);
  const onPlans = "complete -c thirdhand -n '__fish_seen_subcommand_from check sheet start rehearse chart'";
  return [...lines, `${onPlans} -a '${plans.join(' ')}'`].join('\n');
}
