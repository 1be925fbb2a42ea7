package start

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Page is a page of words that scrolls.
type Page struct {
	env        *screen.Env
	id         screen.ID
	title      string
	text       []string // paragraphs
	lines      []string // wrapped
	from       int      // the line that is wanted first; a large window may show earlier ones
	cols, rows int
	scroll     key.Binding
	back       key.Binding
}

// NewPage opens a page. The caution is added at its foot.
func NewPage(env *screen.Env, title string, text []string) *Page {
	return &Page{env: env, id: env.Open(), title: title, text: append(append([]string{}, text...), look.PatientFirst+" "+look.Caution),
		scroll: key.NewBinding(key.WithKeys("up", "down", "k", "j"), key.WithHelp("up/down", "read on")),
		back:   key.NewBinding(key.WithKeys("q", "esc", "enter"), key.WithHelp("q", "back"))}
}

// ID is this opening of the screen.
func (p *Page) ID() screen.ID { return p.id }

// MinSize is what the screen needs.
func (p *Page) MinSize() (cols, rows int) { return 60, 16 }

// Init has nothing to start.
func (p *Page) Init() tea.Cmd { return nil }

// headRows are the title and the empty lines round it.
const headRows = 3

// SetSize wraps the text anew.
func (p *Page) SetSize(cols, rows int) {
	p.cols, p.rows, p.lines = cols, rows, nil
	for _, t := range p.text {
		p.lines = append(append(p.lines, wrap(t, cols-4)...), "")
	}
	p.scroll.SetEnabled(p.most() > 0)
}

// most is the last line a window can begin with.
func (p *Page) most() int { return max(len(p.lines)-max(p.rows-headRows-1, 0), 0) }

// move scrolls by lines, as far as there are any.
func (p *Page) move(by int) { p.from = max(min(p.from+by, p.most()), 0) }

// Update handles keys.
func (p *Page) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	if msg, ok := msg.(tea.KeyMsg); ok {
		switch {
		case key.Matches(msg, p.back):
			return p, screen.Say(screen.Back{})
		case key.Matches(msg, p.scroll) && (msg.String() == "down" || msg.String() == "j"):
			p.move(1)
		case key.Matches(msg, p.scroll):
			p.move(-1)
		}
	}
	return p, nil
}

// View draws the page; it changes nothing.
func (p *Page) View() string {
	l := p.env.Look
	lines := []string{"", "  " + l.Title.Render(p.title), ""}
	from := min(p.from, p.most())
	for _, s := range p.lines[from:min(from+max(p.rows-headRows-1, 0), len(p.lines))] {
		lines = append(lines, "  "+l.Body.Render(s))
	}
	return screen.Page(l, p.cols, p.rows, lines, p.ShortHelp())
}

// ShortHelp is the hint line.
func (p *Page) ShortHelp() []key.Binding { return []key.Binding{p.scroll, p.back} }

// FullHelp lists all bindings.
func (p *Page) FullHelp() [][]key.Binding { return [][]key.Binding{p.ShortHelp()} }
