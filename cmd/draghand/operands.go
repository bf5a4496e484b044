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
		return failf(exitUsage, "see "+cmd.CommandPath()+" --help for what there is", "%s knows no %q", cmd.CommandPath(), args[0])
	}
	return failf(exitUsage, "name it by its flag; see "+cmd.CommandPath()+" --help", "%s takes flags only, and %q is none", cmd.CommandPath(), args[0])
}
