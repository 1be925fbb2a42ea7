package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/term"
	"github.com/google/uuid"
	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/sqlite"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
	"telltrace/trainer"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/notice"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/settings"
	"telltrace/trainer/start"
)

// trainerFlags are those of every command that opens the trainer.
type trainerFlags struct {
	store    string
	learner  string
	class    string
	settings string
	rules    rulesFlags
	plain    bool
	still    bool
	seed     uint64
	seeded   bool
}

func (f *trainerFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.store, "store", "", "file that keeps the answers (default "+ledger.DefaultPath()+")")
	flags.StringVar(&f.learner, "learner", "me", "whose answers these are")
	flags.StringVar(&f.class, "class", "", "the class you sit with, kept with each answer")
	flags.StringVar(&f.settings, "settings", settings.DefaultPath(), "file that keeps the look of the screen")
	f.rules.add(flags)
	flags.BoolVar(&f.plain, "plain", os.Getenv("ACCESSIBLE") != "", "words in place of drawings, for a screen reader")
	flags.BoolVar(&f.still, "still", false, "a still page that is turned, in place of a moving strip")
	flags.Uint64Var(&f.seed, "seed", 0, "draw the strips from this seed (default: a new one each time)")
}

// newPractise opens the trainer at a strip.
func newPractise(c *console) *cobra.Command {
	var f trainerFlags
	var rhythms []string
	var age, from string
	cmd := &cobra.Command{
		Use:   "practise",
		Short: "Practise, straight to a strip",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			f.seeded = cmd.Flags().Changed("seed")
			var w scenarios.Wish
			for _, id := range rhythms {
				id = strings.TrimSpace(id)
				if _, err := synth.FindLesson(id); err != nil {
					return fmt.Errorf("--rhythm: %w", err)
				}
				w.Subjects = append(w.Subjects, id)
			}
			if age != "" {
				a, err := norms.ParseAge(age)
				if err != nil {
					return fmt.Errorf("--age: %w", err)
				}
				w.Age = &a
			}
			if from == "" {
				return f.run(c, func(env *screen.Env) screen.Screen { return trainer.Practise(env, w) })
			}
			if len(rhythms) > 0 {
				return errors.New("--rhythm and --from do not go together: a recording shows what it shows")
			}
			patient := adult
			if w.Age != nil {
				patient = *w.Age
			}
			from, err := filepath.Abs(from) // a missed strip is to be found again from anywhere
			if err != nil {
				return fmt.Errorf("--from: %w", err)
			}
			plan, err := practise.Recorded(from, patient, rand.New(rand.NewPCG(f.newSeed()(), 1)))
			if err != nil {
				return err
			}
			return f.run(c, func(env *screen.Env) screen.Screen { return practise.New(env, plan) })
		},
	}
	f.add(cmd)
	cmd.Flags().StringSliceVar(&rhythms, "rhythm", nil, "only these rhythms and artifacts, separated by commas")
	cmd.Flags().StringVar(&age, "age", "", "only this age: 10d, 4mo, 6y, or a band such as newborn or adult")
	cmd.Flags().StringVar(&from, "from", "", "a recording with labels (WFDB, EDF+) in place of synthetic strips")
	return cmd
}

// adult is the age taken for a recording when none is given.
var adult = ecg.Years(40)

// newMissed opens the trainer at the missed answers.
func newMissed(c *console) *cobra.Command {
	var f trainerFlags
	cmd := &cobra.Command{
		Use:   "missed",
		Short: "The missed answers: see a strip again, try it again",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			f.seeded = cmd.Flags().Changed("seed")
			return f.run(c, func(env *screen.Env) screen.Screen { return trainer.Missed(env, practise.RecordedAgain) })
		},
	}
	f.add(cmd)
	return cmd
}

// newSeed gives the seeds of exercises: drawn from --seed, so that a sitting can be
// had again, or from the system.
func (f *trainerFlags) newSeed() func() uint64 {
	if f.seeded {
		return rand.New(rand.NewPCG(f.seed, 0)).Uint64
	}
	return rand.Uint64
}

// clockBehind says that the clock stands before the newest answer by so much.
func clockBehind(now time.Time, by time.Duration) string {
	const form = "2 January 2006 15:04"
	return fmt.Sprintf("This machine's clock stands at %s, but your newest answer is of %s. No answer is lost or counted twice by that; until the clock is set right, new answers stand before those in your list, and what is due is reckoned by the clock.",
		now.Format(form), now.Add(by).Format(form))
}

// run opens the ledger and the screen, and closes both again.
func (f *trainerFlags) run(c *console, first func(*screen.Env) screen.Screen) error {
	in, isFile := c.in.(*os.File)
	out, outIsFile := c.out.(*os.File)
	if !isFile || !outIsFile || !term.IsTerminal(in.Fd()) || !term.IsTerminal(out.Fd()) {
		return errors.New("the trainer needs a terminal; telltrace strip and telltrace rhythms do without")
	}
	runewidth.DefaultCondition.EastAsianWidth = false // box lines are one cell wide everywhere

	rules, values, err := f.rules.load()
	if err != nil {
		return err
	}
	var notices []string
	chosen, found, err := settings.Load(f.settings)
	if err != nil {
		notices = append(notices, err.Error()+".")
	}
	// Asking the terminal for its background would wait for an answer that some
	// never give: the palette is the learner's choice, until then what the
	// environment says.
	if chosen.Palette == "" {
		chosen.Palette = look.PaletteFor(os.Getenv("COLORFGBG"))
	}
	dark := chosen.Palette != look.Light
	lipgloss.SetHasDarkBackground(dark)
	renderer := lipgloss.NewRenderer(out)
	renderer.SetHasDarkBackground(dark)
	options := chosen.Options()
	options.Plain = f.plain

	env := screen.NewEnv(screen.Env{
		Look: look.New(renderer, options), Renderer: renderer, Learner: f.learner, Class: f.class,
		Now: c.now, Location: c.now().Location(), Seed: f.newSeed(), NewID: uuid.NewString,
		Still: f.still || f.plain || chosen.StillPage, Settings: chosen,
		Rules: rules, Values: values,
	})
	if err == nil {
		env.Save = func(s settings.Settings) error { return settings.Save(f.settings, s) }
	}
	path := strings.TrimPrefix(f.store, "sqlite://")
	if path == "" {
		path = ledger.DefaultPath()
	}
	noLog := false
	store, err := sqlite.Open(path)
	switch {
	case errors.Is(err, ledger.ErrUnwritable):
		env.Store, noLog = ledger.NewMemory(), true
		env.Notice = "answers are not kept"
		notices = append(notices, "Your answers cannot be kept: "+err.Error()+". You can practise all the same, without a log.")
	case err != nil:
		return err
	default:
		env.Store = store
		defer store.Close()
		ahead, err := ledger.Ahead(context.Background(), store, f.learner, env.Now())
		if err != nil {
			return err
		}
		if ahead > 0 {
			notices = append(notices, clockBehind(env.Now(), ahead))
		}
	}

	opening := first
	if !found && err == nil && !f.plain {
		opening = func(env *screen.Env) screen.Screen {
			return start.NewFirst(env, env.Save, func() screen.Screen { return first(env) })
		}
	}
	if len(notices) > 0 {
		onward := "go on"
		if noLog {
			onward = "practise without a log"
		}
		after := opening
		opening = func(env *screen.Env) screen.Screen {
			return notice.New(env, strings.Join(notices, " "), onward, func() screen.Screen { return after(env) })
		}
	}
	terminal := glass.New(out)
	defer terminal.Close()
	if f.plain {
		terminal.WholeLines()
	}
	program := tea.NewProgram(terminal.Wrap(trainer.New(env, opening(env))), tea.WithInput(in), tea.WithOutput(terminal.Output()),
		tea.WithAltScreen(), tea.WithFPS(1)) // its renderer has nothing to draw
	_, err = program.Run()
	if errors.Is(err, tea.ErrInterrupted) || errors.Is(err, io.EOF) {
		return nil
	}
	return err
}
