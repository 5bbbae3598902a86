"""Sentences of methods as cooks write and as cooks say them, each with what it tells; written before they were read.

what is told, parted by ";": METHOD [MINUTES] for heat, "?" where the words leave the method open; a word of
data/method/verbs.csv (drain, discard, strain, cover ...) for what else must be read; "cold" where nothing is heated.
"""

from __future__ import annotations

WRITTEN = """
baked 35 = Slide the dish onto the middle shelf of the oven and leave it there for 35 minutes.
roasted 90 = Roast the joint for 1 hour 30 minutes, basting now and then.
boiled 12; drain = Boil the potatoes for 12 minutes, tip into a colander and leave to steam dry.
pan-fried 10 = Gently fry the onions for 10 minutes until translucent.
simmered 20 = Let everything bubble gently for 20 minutes.
simmered; reduce = Turn up the heat and boil hard until the sauce has reduced by half.
strain; discard = Strain through a fine sieve and discard the bones.
discard = Fish out and discard the bay leaf.
discard = Remove and discard the skin.
skim = Skim off any fat from the surface.
pour off = Pour away all but a spoonful of the fat.
deep-fried 5 = Lower the fish into the hot oil and deep-fry for 5 minutes.
grilled 8 = Grill for 4 minutes on each side until charred.
grilled 5 = Flash under a hot grill for 5 minutes to brown the top.
steamed 10 = Steam the mussels, covered, for 10 minutes.
poached 8 = Slip the eggs into barely simmering water and poach for 8 minutes.
braised 180 = Braise in the oven at 160C for 3 hours.
stewed 480 = Cook in the slow cooker on low for 8 hours.
microwaved 4 = Microwave on high for 4 minutes.
toasted 3 = Toast the almonds in a dry pan for 3 minutes.
stir-fried 3 = Throw in the peppers and stir-fry for 3 minutes.
pan-fried 6 = Sear the steaks for 3 minutes a side in a smoking hot pan.
soak = Soak the beans overnight in plenty of cold water.
marinate = Leave the lamb to marinate in the fridge for at least 4 hours.
cold = Fold the cream into the fruit and chill for 2 hours.
cold = Rub the butter into the flour until it looks like breadcrumbs.
cold = Roll out the pastry and use it to line the tin.
cover; simmered 40 = Put the lid on and simmer for 40 minutes.
uncover = Take the lid off for the last ten minutes.
flame = Pour in the brandy and set it alight.
reserve = Ladle out and reserve a cup of the stock.
boiled; drain = Cook the noodles according to the packet, drain and rinse under the cold tap.
boiled 2 = Blanch the beans for 2 minutes and refresh in iced water.
baked 25 = Return to the oven for a final 25 minutes.
pan-fried = Soften the leeks in the butter without letting them colour.
simmered 5 = Whisk in the milk a little at a time and simmer for 5 minutes.
cold = Divide the mixture between 12 muffin cases.
baked 20 = Bake blind for 20 minutes, then take out the beans.
cold = Leave to stand for ten minutes before slicing.
? = Drop spoonfuls of the batter into the hot pan and cook until bubbles appear, then flip.
roasted 40 = Toss the roots in the oil, spread over a tray and roast for 40 minutes.
simmered 15 = Bring back to the boil, lower the heat and simmer for 15 minutes.
rinse; cold = Rinse the rice under the cold tap until the water runs clear.
boiled 10 = Put the rice on to boil for 10 minutes.
pan-fried = Render the bacon until crisp.
cold = Stir through the herbs off the heat.
baked 60 = Cook for an hour in a low oven.
grilled 10 = Barbecue the skewers over hot coals for 10 minutes.
discard = Throw away any mussels that stay shut.
cold = Knead for 10 minutes until smooth and elastic, then leave to rise for an hour.
simmered 120 = Simmer very gently with the lid ajar for 2 hours.
reduce; simmered = Reduce to a sticky glaze.
strain = Pass the soup through a sieve into a clean pan.
pan-fried 4 = Fry the spices for a minute, add the paste and fry for 3 minutes more.
boiled 7 = Boil the eggs for 7 minutes.
cold = Season to taste and scatter over the parsley.
discard = Lift out the onion and cloves and throw them away.
simmered = Deglaze with the wine, scraping up the sticky bits.
pan-fried 15 = Sweat the shallots slowly for 15 minutes.
steamed 20 = Set the pudding basin over simmering water and steam for 20 minutes.
baked 30 = Prick the potatoes all over, place directly on the oven rack and bake for 30 minutes.
"""

SPOKEN = """
baked 30 = so now I'm gonna pop that in the oven for about half an hour
pan-fried 5 = we're just going to fry these onions off for five minutes
boiled 15; drain = I've got my potatoes boiling away there for fifteen minutes and then I'll drain them
simmered 20 = and I'm going to let that simmer for twenty minutes
baked 40 = that's going in the oven now for forty minutes
roasted 60 = okay so that's gonna roast for about an hour
cold = right so first thing I'm chopping up my onions
cold = what I like to do is mix the flour and the sugar together
pan-fried = then we want to get the meat nice and brown
pan-fried 10 = give it about ten minutes in the frying pan
simmered = bring that up to a simmer
simmered = let's get that up to the boil
cover = and the lid goes on
uncover = lid off now
drain = drain that off through a colander
deep-fried 6 = these go into the deep fat fryer for six minutes
deep-fried = you wanna deep fry those till they're golden
grilled 5 = and then that goes under the grill for five minutes
steamed 8 = steam those for about eight minutes
poached 4 = I'm poaching these eggs for four minutes
boiled 10 = now you're gonna cook your pasta in boiling salted water for ten minutes
pour off = we're gonna pour off all that fat
discard = you can chuck the bay leaf away now
discard = I'm throwing those bones away
strain = now I'm just straining that through a sieve
reduce; simmered = I want that to reduce right down by half
stewed 360 = so that's going into the slow cooker for six hours
microwaved 3 = pop it in the microwave for three minutes
marinate = I've left that to marinate overnight
soak = these chickpeas have been soaking overnight
cold = in goes the butter
cold = a good splash of oil goes in
cold = we'll leave that to rest for ten minutes
cold = so here I've got some carrots
cold = add your stock
simmered 30 = just leave it bubbling away for half an hour
pan-fried 3 = I'm just gonna sear that for three minutes
baked 180 = it's had three hours in the oven
cold = and that is ready to serve
cold = look at that, beautiful
cold = give that a good stir
toasted 2 = just toast those off for a couple of minutes
stir-fried 4 = and I'm stir frying that for four minutes
braised 120 = we're braising that for two hours
cold = season it up with a bit of salt and pepper
cold = I'm going to whisk in the eggs one at a time
skim = skim all that fat off the top
reserve = keep back a bit of that water
baked 25; cover = cover that with foil and bake it for twenty five minutes
pan-fried = you want to sweat those down really slowly
cold = peel your potatoes and cut them into chunks
boiled 12 = I'm gonna boil those for twelve minutes
flame = and we're going to flambé that
cold = spread that all over the top
cold = let me show you what it looks like
simmered 45 = turn it right down and simmer it for three quarters of an hour
baked 20 = whack it in a hot oven for twenty minutes
? = chuck the garlic in the pan and let that cook until it's soft
cold = roll that out nice and thin
grilled 8 = stick it on the barbecue for four minutes each side
cold = so I'm gonna rinse that rice off
boiled 20 = put the rice on to boil and it'll take about twenty minutes
"""

# In yet other words, written when those above were read.
HELD_OUT = """
baked 45 = right so this is gonna go in the oven now for about forty five minutes
pan-fried 8 = I'm frying off some onions here for about eight minutes
simmered 90 = we'll just let that blip away for an hour and a half
boiled 20; drain = so my spuds have been boiling for twenty minutes so I'll drain those off
cold = what I'm gonna do now is grate the cheese over the top
roasted 50 = they want about fifty minutes to roast
grilled 6 = get them under a hot grill for six minutes
deep-fried 4 = I'm dropping those into the fryer for four minutes
cover; simmered 25 = so the lid goes back on and we'll simmer that for twenty five minutes
discard = and we can get rid of that cinnamon stick
pour off = I'm just going to spoon off some of that fat
cold = so I've mixed the eggs and the milk together
cold = and then I'm adding the garlic
cold = next thing is the spices, they go in now
pan-fried 5 = fry that for another five minutes
drain = so we've drained those
cold = we just want a pinch of salt in there
cold = that's your marinade done
marinate = so these have been marinating in the fridge since this morning
steamed 10 = pop the lid on and steam for ten minutes
cold = now this is my favourite bit
boiled 9 = the pasta's been boiling for nine minutes
reduce; simmered = we're reducing that down by about a third
stewed 480 = it goes in the slow cooker on low for eight hours
cold = take that off the heat and let it cool
cold = I'm rolling these into little balls
microwaved 2 = you could give it two minutes in the microwave
pan-fried = I'm browning off the mince
soak = you need to soak those overnight
cold = and in with the stock
braised 150 = so we braise that gently for two and a half hours
rinse = I've rinsed the rice a couple of times
baked 15 = back in the oven for another fifteen minutes
toasted 3 = I'm toasting these almonds for three minutes
cold = hello everyone and welcome back to my kitchen
? 25 = Cook gently on the hob, bubbling, for 25 minutes.
baked 40 = Transfer to the oven and bake, covered, for 40 minutes.
pan-fried 10 = Fry the onions for 10 minutes until soft but not coloured.
? 15; simmered; drain = Cover the potatoes with cold water, bring to the boil and cook for 15 minutes, then drain.
cold = Whisk until the sugar is no longer grainy.
strain = Strain, pressing hard on the solids.
discard = Discard any shells that have not opened.
roasted 75 = Roast for 1 hour 15 minutes, not opening the oven.
simmered 30 = Leave on a gentle simmer for 30 minutes.
pan-fried = When the butter foams, lay in the fillets and fry, spooning the butter over.
baked 12 = Bake for 12 minutes (the centres will not be set).
drain = Once cooked, drain and tip back into the pan.
steamed 6 = Steam over a pan of boiling water for 6 minutes.
simmered 10 = Add the cream and let it bubble for 10 minutes.
grilled 3 = Put under a very hot grill for 3 minutes until bubbling.
cold = Chill for at least 2 hours before serving.
marinate = Coat the chicken in the spices and set aside to marinate for an hour.
boiled = Boil rapidly to reduce by two thirds.
simmered; poached 12 = Bring the milk to a simmer, slide in the fish and poach for 12 minutes.
pour off = Tip the fat out of the tin.
"""


def sentences(text: str) -> list[tuple[str, frozenset[str]]]:
    """Each sentence with what it tells."""
    found = []
    for line in text.strip().splitlines():
        told, sentence = line.split(" = ", 1)
        found.append((sentence, frozenset(part.strip() for part in told.split(";"))))
    return found
