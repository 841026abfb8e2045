# Second route for tactics/habit, run in this folder: changes of habit by sums over all
# cuts, each habit in closed form (lgamma), forwards over the cuts; quantiles by the
# trapezium rule. Writes change.json. Made with NumPy 1.24.2.
import numpy as np, json, math, itertools
from math import lgamma
def seg(prior, x):
    """log chance of the choices x of one habit ~ Dirichlet(prior): Dirichlet-multinomial."""
    n=np.bincount(x,minlength=len(prior)).astype(float) if len(x) else np.zeros(len(prior))
    A=sum(prior)
    return lgamma(A)-lgamma(A+n.sum())+sum(lgamma(a+c)-lgamma(a) for a,c in zip(prior,n))
def forward_backward(K,x,prior,earlier,every,newbout):
    n=len(x); h=1/every
    has = earlier is not None and sum(earlier)>0
    first=[p+(e if has else 0) for p,e in zip(prior,earlier or [0]*K)]
    def g(a,b):  # habit over x[a:b]
        if a>0: return seg(prior,x[a:b])
        if not has: return seg(prior,x[a:b])
        return np.logaddexp(math.log(1-newbout)+seg(first,x[a:b]), math.log(newbout)+seg(prior,x[a:b]))
    # F[t]: log P(x[:t]) and a cut at t ; B[t]: log P(x[t:] | a habit begins at t)
    F=[-math.inf]*(n+1); F[0]=0.0
    for t in range(1,n+1):
        terms=[F[s]+g(s,t)+(t-1-s)*math.log(1-h)+(math.log(h) if t<n else 0) for s in range(t)]
        F[t]=np.logaddexp.reduce(terms)
    ev=F[n]
    last=[math.exp(F[s]+g(s,n)+(n-1-s)*math.log(1-h)-ev) for s in range(n)]
    if has:
        carried=math.exp(math.log(1-newbout)+seg(first,x)+(n-1)*math.log(1-h)-ev)
        began=[carried,last[0]-carried]+last[1:]
    else: began=[0.0]+last
    return ev,began
def cdf_grid(laws,K):
    """quantiles of a mean of Beta laws by the trapezium rule on x = sin(u)^2"""
    u=np.linspace(0,np.pi/2,400001)[1:-1]; X=np.sin(u)**2; J=2*np.sin(u)*np.cos(u)
    d=np.zeros_like(X)
    for w,a,b in laws:
        d+=w*np.exp((a-1)*np.log(X)+(b-1)*np.log1p(-X)+lgamma(a+b)-lgamma(a)-lgamma(b))*J
    # J*x^(a-1): sin^(2a-1): for a=1/2 it is 1 at the end, so add the ends by extrapolation
    h=u[1]-u[0]
    c=np.concatenate([[d[0]*h],d[0]*h+np.cumsum((d[1:]+d[:-1])/2*h)])
    c/= c[-1]+d[-1]*h
    return lambda p: float(np.interp(p,c,X))
rng=np.random.default_rng(20)
cases=[]
for K,n,every,earl in [(2,20,24,False),(3,29,24,False),(4,29,12,True),(7,29,24,True),(3,45,24,True),(5,1,24,True)]:
    p=rng.dirichlet([0.7]*K); q=rng.dirichlet([0.7]*K)
    x=np.array([rng.choice(K,p=p if i<n//2 else q) for i in range(n)])
    prior=[0.5]*K; earlier=[float(v) for v in np.round(rng.gamma(1.5,2,K),3)] if earl else None
    ev,began=forward_backward(K,x,prior,earlier,every,0.25)
    quant=[];means=[]
    for k in range(K):
        laws=[]
        for s in range(-1,n):
            c=np.bincount(x[max(s,0):],minlength=K)
            e=earlier if (s==-1 and earlier) else [0]*K
            al=[prior[i]+c[i]+e[i] for i in range(K)]
            laws.append((began[s+1],al[k],sum(al)-al[k]))
        laws=[l for l in laws if l[0]>0]
        f=cdf_grid(laws,K); quant.append([f(.025),f(.5),f(.975)]); means.append(sum(w*a/(a+b) for w,a,b in laws))
    cases.append(dict(choices=K,seen=[int(v) for v in x],earlier=earlier,every=every,evidence=float(ev),began=[float(v) for v in began],mean=means,quantiles=quant))
json.dump(cases,open('change.json','w'),indent=None,separators=(',',':'))
print(len(cases),[c['evidence'] for c in cases],[sum(c['began']) for c in cases])
