package measure
import ("testing";"fmt";"path/filepath")
func TestDbg(t *testing.T){
 dir:=recordings(t)
 for _,name:=range []string{"232","203","207","217","105","214","200","103"}{
  s:=readRecord(t,filepath.Join(dir,"mitdb",name))
  sl,en:=steepness(clean(s.MV[0]).mv,s.Rate)
  all:=candidates(sl,en,s.Rate); lv:=levels(en,s.Rate)
  ref:=[]mark{}
  for _,m:=range readMarks(t,filepath.Join(dir,"mitdb",name+".atr")){ if isBeat(m.code){ref=append(ref,m)} }
  bs:=pick(all,lv,s.Rate)
  inB:=func(at int)bool{for _,b:=range bs{if b.at==at{return true}};return false}
  near:=func(at int)(string){best:=1000000;code:=0;for _,m:=range ref{d:=m.at-at;if d<0{d=-d};if d<best{best=d;code=m.code}};return fmt.Sprintf("%d(%d)",best*1000/int(s.Rate),code)}
  for i,c:=range all{
    d:=0; fmt.Sscanf(near(c.at),"%d",&d)
    is:=d<=150
    if is!=inB(c.at){
      // only if ref not matched by other beat
      if is { ok:=false; for _,b:=range bs{ for _,m:=range ref{ x:=m.at-c.at; if x<0{x=-x}; y:=m.at-b.at; if y<0{y=-y}; if float64(x)<.15*s.Rate&&float64(y)<.15*s.Rate{ok=true}}}; if ok {continue} }
      fmt.Printf("%s %s at %.2f share %.2f slope %.3f bend %.3f near %s prev dt %.3f slope %.3f bend %.3f\n",name,map[bool]string{true:"MISS",false:"EXTRA"}[is],float64(c.at)/s.Rate,c.strength/lv[min(len(lv)-1,c.at/int(2*s.Rate))],c.slope,c.bend,near(c.at),float64(c.at-all[max(0,i-1)].at)/s.Rate,all[max(0,i-1)].slope,all[max(0,i-1)].bend)
    }
  }
 }
}
