package main

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// The idle program of the benchmark: a bubbletea loop that ticks as often as a strip
// is drawn and shows nothing new. The test binary runs as it when idleVariable is set.
const idleVariable = "TELLTRACE_BENCH_IDLE"

type idle struct{}

type tock struct{}

func (idle) Init() tea.Cmd {
	return tea.Tick(time.Second/30, func(time.Time) tea.Msg { return tock{} })
}
func (m idle) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg.(type) {
	case tock:
		return m, m.Init()
	case tea.KeyMsg:
		return m, tea.Quit
	}
	return m, nil
}
func (idle) View() string { return "idle" }

func runIdle() int {
	if _, err := tea.NewProgram(idle{}, tea.WithAltScreen()).Run(); err != nil {
		return exitError
	}
	return exitOK
}
