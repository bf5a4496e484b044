package main

import "github.com/spf13/cobra"

// exactly asks for n operands, in words.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			return failf(exitUsage, "see "+cmd.CommandPath()+" --help", "%s", what)
		}
		return nil
	}
}

// atLeast asks for n operands or more, in words.
func atLeast(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return failf(exitUsage, "see "+cmd.CommandPath()+" --help", "%s", what)
		}
		return nil
	}
}

// none takes no operand, and says so in words.
func none(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	if cmd.HasSubCommands() {
		next := "see " + cmd.CommandPath() + " --help for what there is"
		if !cmd.HasParent() {
			switch args[0] {
			case "shelf":
				next = "it is on the bench: draghand, then l; draghand list tells it in words"
			case "overlay":
				next = "it is on the shelf: draghand, then l, mark pulls with space, then o"
			case "bench":
				next = "draghand alone opens it"
			}
		}
		return failf(exitUsage, next, "%s knows no %q", cmd.CommandPath(), args[0])
	}
	return failf(exitUsage, "name it by its flag; see "+cmd.CommandPath()+" --help", "%s takes flags only, and %q is none", cmd.CommandPath(), args[0])
}
