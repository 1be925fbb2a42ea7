// Command telltrace is a trainer in which a nurse learns to tell heart rhythms
// apart and to act safely. main parses, wires and maps errors to exit codes; each
// subcommand is one file. Start with commands.
//
// Training only: synthetic traces, not for diagnosis or patient care.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"telltrace/synth/ecg"
	"telltrace/synth/near"
	"telltrace/trainer"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/unasked"
)

// Exit codes. 1 says that what was asked of the file or the learner is not met: faults
// in a file, a drill not passed.
const (
	exitOK     = 0
	exitNotMet = 1
	exitError  = 2
)

// A console is what a command has of the outside world.
type console struct {
	in       io.Reader
	out, err io.Writer // machine output, messages to people
	now      func() time.Time
	columns  int // of the terminal that out is, 0 where it is none
}

// commands lists the subcommands in the order of the help.
func commands(c *console) []*cobra.Command {
	return []*cobra.Command{
		newPractise(c),
		newMissed(c),
		newDrill(c),
		newClass(c),
		newRhythms(c),
		newStrip(c),
		newMeasure(c),
		newHandIn(c),
		newCollect(c),
		newReport(c),
		newScenario(c),
		newRules(c),
		newCheck(c),
		newSchema(c),
	}
}

func main() {
	unasked.Restore()
	c := &console{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now}
	if columns, _, err := term.GetSize(os.Stdout.Fd()); err == nil {
		c.columns = columns
	}
	os.Exit(run(c, os.Args[1:]))
}

// run is the program without its process: it returns the exit code.
func run(c *console, args []string) int {
	root := newRoot(c)
	root.SetArgs(args)
	if err := root.Execute(); errors.Is(err, errNotPassed) || errors.Is(err, errFaulty) {
		return exitNotMet
	} else if err != nil {
		c.say("%v", err)
		return exitError
	}
	return exitOK
}

// say writes a message to people. What machines read goes to c.out.
func (c *console) say(format string, args ...any) {
	fmt.Fprintf(c.err, "telltrace: "+format+"\n", args...)
}

func newRoot(c *console) *cobra.Command {
	root := &cobra.Command{
		Use:               "telltrace",
		Short:             "Learn to tell heart rhythms apart and to act safely",
		Long:              "Learn to tell heart rhythms apart and to act safely.\n" + look.Caution,
		Version:           version(),
		SilenceUsage:      true,
		SilenceErrors:     true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
		Args:              knownCommand,
	}
	var f trainerFlags
	f.add(root)
	root.RunE = func(cmd *cobra.Command, _ []string) error {
		f.seeded = cmd.Flags().Changed("seed")
		return f.run(c, func(env *screen.Env) screen.Screen { return trainer.Start(env, practise.RecordedAgain) })
	}
	root.SetVersionTemplate("{{.Name}} {{.Version}}\n")
	root.SetIn(c.in)
	root.SetOut(c.out)
	root.SetErr(c.err)
	root.SetFlagErrorFunc(flagError)
	cobra.EnableCommandSorting = false // the help keeps the order of the list
	root.AddCommand(commands(c)...)
	return root
}

// version is that of the module, as far as the build knows it, and of the
// generator, which decides whether a strip can be repeated.
func version() string {
	v := "(devel)"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		v = info.Main.Version
	}
	return fmt.Sprintf("%s, engine %d", v, ecg.Engine)
}

// knownCommand refuses a word that is no subcommand and suggests the nearest one.
func knownCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, sub := range root.Commands() {
		if !sub.Hidden {
			names = append(names, sub.Name())
		}
	}
	_, err := oneOf("command", args[0], names)
	return err
}

// flagError says in plain words what is wrong with a flag.
func flagError(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var missing *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		name := unknown.GetSpecifiedName()
		if best, ok := near.Word(name, names); ok {
			return fmt.Errorf("unknown flag --%s; did you mean --%s?", name, best)
		}
		return fmt.Errorf("unknown flag --%s; %s --help lists them", name, cmd.CommandPath())
	case errors.As(err, &unknown):
		return fmt.Errorf("unknown flag -%s; %s --help lists them", unknown.GetSpecifiedName(), cmd.CommandPath())
	case errors.As(err, &missing):
		return fmt.Errorf("--%s needs a value", missing.GetSpecifiedName())
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		return fmt.Errorf("--%s %q: want %s", f.Name, invalid.GetValue(), kindOf(f))
	default:
		return err
	}
}

// kindOf says what a flag takes.
func kindOf(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "float64":
		return "a number"
	case "int":
		return "a whole number"
	case "uint64":
		return "a whole number from 0"
	case "bool":
		return "true or false"
	default:
		return "a " + strings.ToLower(f.Value.Type())
	}
}
