package campaign_test

import (
	"context"
	"errors"
	"testing"

	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

type delivered struct {
	index uint64
	o     campaign.Outcome
}

func campaignOf(t *testing.T, workers int, from, to uint64) (list []delivered, tally *campaign.Tally) {
	t.Helper()
	p := defaultPlan(1)
	tally = campaign.NewTally()
	err := campaign.Run(context.Background(), p, running(p, shipped(t)), from, to, workers, func(c *campaign.Case, o campaign.Outcome) error {
		list = append(list, delivered{c.Index, o})
		tally.Add(c, o)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return list, tally
}

// The number of workers changes nothing, nor does the place at which a campaign was cut in two.
func TestWorkersChangeNothing(t *testing.T) {
	const n = 120
	one, whole := campaignOf(t, 1, 0, n)
	many, _ := campaignOf(t, 5, 0, n)
	if len(one) != n || len(many) != n {
		t.Fatalf("%d and %d cases of %d", len(one), len(many), n)
	}
	for i := range one {
		if one[i].index != uint64(i) || many[i].index != uint64(i) || !same(one[i].o, many[i].o) {
			t.Fatalf("place %d: case %d of one worker, %d of five", i, one[i].index, many[i].index)
		}
	}
	_, first := campaignOf(t, 3, 0, 50)
	_, second := campaignOf(t, 2, 50, n)
	second.Merge(first) // in the wrong order
	for i := range whole.Requirements {
		a, b := whole.Requirements[i], second.Requirements[i]
		if a.Share != a.Share && b.Share != b.Share {
			a.Share, a.Margin, b.Share, b.Margin = 0, 0, 0, 0
		}
		if a != b {
			t.Errorf("%s: %+v at once, %+v in two pieces", require.IDs[i], a, b)
		}
	}
	if second.Runs != n || whole.Runs != n {
		t.Errorf("%d and %d runs", second.Runs, whole.Runs)
	}
}

// What was handed over before the end is a whole piece from the beginning.
func TestStopped(t *testing.T) {
	p := defaultPlan(0)
	table := shipped(t)
	ctx, cancel := context.WithCancel(context.Background())
	next := uint64(3)
	err := campaign.Run(ctx, p, running(p, table), 3, 1e9, 3, func(c *campaign.Case, _ campaign.Outcome) error {
		if c.Index != next {
			t.Errorf("case %d in the place of %d", c.Index, next)
		}
		if next++; next == 20 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || next != 20 {
		t.Errorf("%v after case %d", err, next)
	}
	full := errors.New("the disk is full")
	if err := campaign.Run(context.Background(), p, running(p, table), 0, 1e9, 2, func(*campaign.Case, campaign.Outcome) error { return full }); err != full {
		t.Errorf("got %v", err)
	}
}

func TestNobodyToWork(t *testing.T) {
	p := defaultPlan(0)
	err := campaign.Run(context.Background(), p, running(p, shipped(t)), 0, 1, 0, nil)
	if err == nil || err.Error() != "0 workers, expected 1 or more" {
		t.Errorf("got %v", err)
	}
	if err := campaign.Run(context.Background(), p, running(p, shipped(t)), 5, 5, 2, nil); err != nil {
		t.Errorf("no cases: %v", err)
	}
}
