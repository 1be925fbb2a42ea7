package main

import (
	_ "github.com/adrg/xdg"
	_ "github.com/charmbracelet/bubbles/help"
	_ "github.com/charmbracelet/bubbles/key"
	_ "github.com/charmbracelet/bubbletea"
	_ "github.com/charmbracelet/lipgloss"
	_ "github.com/creack/pty"
	_ "github.com/guptarohit/asciigraph"
	_ "github.com/hinshun/vt10x"
	_ "github.com/mattn/go-runewidth"
	_ "github.com/muesli/termenv"
	_ "github.com/pressly/goose/v3"
	_ "github.com/rogpeppe/go-internal/testscript"
	_ "github.com/spf13/cobra"
	_ "github.com/stretchr/testify/assert"
	_ "github.com/stretchr/testify/require"
	_ "gonum.org/v1/gonum/dsp/fourier"
	_ "gonum.org/v1/gonum/stat"
	_ "modernc.org/sqlite"
)

func main() {}
